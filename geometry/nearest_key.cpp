#include "geometry/nearest_key.hpp"

#include <algorithm>
#include <limits>
#include <numeric>
#include <vector>

#include "geometry/plain_text.hpp"

namespace noonshell {

namespace {

bool same(char a, char b) {
    return lower(a) == lower(b);
}

/// True when `word` is `known` without its last parts, as in "latitude" for "latitude_deg".
bool lacks_only_the_unit(std::string_view word, std::string_view known) {
    return word.size() < known.size() && known[word.size()] == '_' &&
           std::equal(word.begin(), word.end(), known.begin(), same);
}

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
    std::iota(last.begin(), last.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool equal = same(a[i - 1], b[j - 1]);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (equal ? 0 : 1)});
            const bool swapped =
                i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1]);
            if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
        }
        before.swap(last);
        last.swap(row);
    }
    return last[b.size()];
}

std::string_view nearest_key(std::string_view word, std::span<const std::string_view> known) {
    std::string_view nearest;
    std::size_t least = std::numeric_limits<std::size_t>::max();
    for (const std::string_view candidate : known) {
        const std::size_t distance =
            lacks_only_the_unit(word, candidate) ? 0 : edit_distance(word, candidate);
        if (distance < least) {
            least = distance;
            nearest = candidate;
        }
    }
    return nearest;
}

}  // namespace noonshell
