// Every source key cited in the code, such as [reda2004], stands in the references list of
// DEVELOPERS.md, and every entry of the list is cited somewhere.
#include <gtest/gtest.h>

#include <map>
#include <regex>
#include <set>
#include <string>

#include "tests/project/source_files.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::project {
namespace {

// A key is lower-case words with a year or a number, [perez1990], [iso6946], or any word in
// brackets with a place in the source behind it: [incropera] table A.3. Else it is an array index
// or a unit.
using Cited = std::map<std::string, std::string>;  // key to the first place

Cited cited_keys(const std::filesystem::path& root) {
    static const std::regex key(
        R"((?:^|[^A-Za-z0-9_\])])\[([a-z][a-z_]*([0-9]*)[a-z]?)\](,? (?:ch\.|eqs?\b|tables?\b|annex|section|part|p\.))?)");
    Cited cited;
    for (const char* folder : {"geometry", "solar", "thermal", "cli", "models", "tests"}) {
        for (const std::string& file : sources(root, folder)) {
            if (file.rfind("tests/project/", 0) == 0) continue;
            const std::vector<std::string> lines = lines_of(read_text(root / file));
            for (std::size_t i = 0; i < lines.size(); ++i) {
                std::sregex_iterator it(lines[i].begin(), lines[i].end(), key), end;
                for (; it != end; ++it) {
                    const bool numbered = (*it)[2].length() >= 2;
                    if (!numbered && !(*it)[3].matched) continue;
                    cited.try_emplace((*it)[1], file + ":" + std::to_string(i + 1));
                }
            }
        }
    }
    return cited;
}

// Lines such as "- [reda2004] Reda I., Andreas A. ..." below the heading "References".
std::set<std::string> listed_keys(const std::filesystem::path& root) {
    static const std::regex entry(R"(^- \[([a-z0-9_]+)\] \S+)");
    std::set<std::string> listed;
    bool below = false;
    for (const std::string& line : lines_of(read_text(root / "DEVELOPERS.md"))) {
        if (line.rfind("## ", 0) == 0) below = line.find("References") != std::string::npos;
        std::smatch match;
        if (below && std::regex_search(line, match, entry)) listed.insert(match[1]);
    }
    return listed;
}

std::string missing_entries(const std::filesystem::path& root) {
    const std::set<std::string> listed = listed_keys(root);
    std::string missing;
    for (const auto& [key, place] : cited_keys(root)) {
        if (listed.count(key) == 0) missing += place + ": [" + key + "]\n";
    }
    return missing;
}

std::string unused_entries(const std::filesystem::path& root) {
    const Cited cited = cited_keys(root);
    std::string unused;
    for (const std::string& key : listed_keys(root)) {
        if (cited.count(key) == 0) unused += "[" + key + "]\n";
    }
    return unused;
}

TEST(References, EveryCitedKeyIsListed) {
    EXPECT_EQ(missing_entries(NOONSHELL_SOURCE_DIR), "");
}
TEST(References, EveryListedKeyIsCited) {
    EXPECT_EQ(unused_entries(NOONSHELL_SOURCE_DIR), "");
}
TEST(References, SomeKeysAreCited) {
    EXPECT_GE(cited_keys(NOONSHELL_SOURCE_DIR).size(), 10u);
}

TEST(References, PlantedFaultsAreFound) {
    const test_support::ScratchFolder scratch;
    const std::filesystem::path& root = scratch.path();
    std::filesystem::create_directories(root / "solar");
    std::ofstream(root / "solar/sky.cpp")
        << "// after [perez1990], W [m2], a[hour2]\n/// [nobody1901]\n";
    std::ofstream(root / "solar/old.cpp") << "// [somebody] table 3\n";
    std::ofstream(root / "DEVELOPERS.md") << "- [nobody1901] before the list\n## References\n"
                                             "- [perez1990] Perez R.\n- [idle2000] Idle I.\n";
    EXPECT_EQ(missing_entries(root),
              "solar/sky.cpp:2: [nobody1901]\nsolar/old.cpp:1: [somebody]\n");
    EXPECT_EQ(unused_entries(root), "[idle2000]\n");
}

}  // namespace
}  // namespace noonshell::project
