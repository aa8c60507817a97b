// Edit distance against values known by hand and against its definition by search.
#include "geometry/nearest_key.hpp"

#include <gtest/gtest.h>

#include <array>
#include <map>
#include <queue>
#include <string>
#include <vector>

namespace noonshell {
namespace {

TEST(EditDistance, AgreesWithHandCounts) {
    EXPECT_EQ(edit_distance("", ""), 0u);
    EXPECT_EQ(edit_distance("", "abc"), 3u);
    EXPECT_EQ(edit_distance("kitten", "sitting"), 3u);  // two substitutions, one insertion
    EXPECT_EQ(edit_distance("saturday", "sunday"), 3u);
    EXPECT_EQ(edit_distance("nroth_deg", "north_deg"), 1u);  // one swap
    EXPECT_EQ(edit_distance("ca", "abc"), 3u);               // optimal string alignment, not 2
    EXPECT_EQ(edit_distance("NORTH", "north"), 0u);
}

// Plain edits of words over two letters, by breadth-first search: without swaps the distance can be
// no smaller, and with them it is at most one less for each swap.
TEST(EditDistance, NeverExceedsSearchWithoutSwaps) {
    std::map<std::string, std::size_t> found{{"ab", 0}};
    std::queue<std::string> queue({"ab"});
    while (!queue.empty()) {
        const std::string word = queue.front();
        queue.pop();
        std::vector<std::string> next;
        for (std::size_t i = 0; i <= word.size(); ++i) {
            for (const char c : {'a', 'b'}) {
                if (word.size() < 5) next.push_back(std::string(word).insert(i, 1, c));
                if (i < word.size()) next.push_back(std::string(word).replace(i, 1, 1, c));
            }
            if (i < word.size()) next.push_back(std::string(word).erase(i, 1));
        }
        for (const std::string& other : next) {
            if (found.try_emplace(other, found[word] + 1).second) queue.push(other);
        }
    }
    ASSERT_EQ(found.size(), 63u);  // all words of up to 5 letters over 2
    for (const auto& [word, distance] : found) {
        if (word == "ba")
            EXPECT_EQ(edit_distance("ab", word), 1u);
        else
            EXPECT_LE(edit_distance("ab", word), distance) << word;
        EXPECT_GE(edit_distance("ab", word) + 1, distance) << word;
        EXPECT_EQ(edit_distance("ab", word), edit_distance(word, "ab")) << word;
    }
}

TEST(NearestKey, FindsWhatWasMeant) {
    constexpr std::array<std::string_view, 4> known = {"latitude_deg", "longitude_deg", "time_zone",
                                                       "north_deg"};
    EXPECT_EQ(nearest_key("latitud_deg", known), "latitude_deg");
    EXPECT_EQ(nearest_key("longitude", known), "longitude_deg");
    EXPECT_EQ(nearest_key("timezone", known), "time_zone");
    EXPECT_EQ(nearest_key("north", known), "north_deg");
    EXPECT_EQ(nearest_key("anything", {}), "");
}

}  // namespace
}  // namespace noonshell
