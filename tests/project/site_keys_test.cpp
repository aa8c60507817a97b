// Every key that the site file may hold is explained in README.md.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <string>

namespace {

std::string content_of(const std::filesystem::path& file) {
    std::ifstream stream(file);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

/// The words in the arrays of keys that the readers of the site file check against.
std::set<std::string> known_keys() {
    const std::regex array(R"(std::string_view,\s*\d+>\s+\w*_keys\s*=\s*\{([^}]*)\})");
    const std::regex word("\"([a-z0-9_]+)\"");
    std::set<std::string> keys;
    const std::filesystem::path folder = std::filesystem::path(NOONSHELL_SOURCE_DIR) / "cli";
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().extension() != ".cpp") continue;
        const std::string text = content_of(entry.path());
        for (std::sregex_iterator a(text.begin(), text.end(), array), end; a != end; ++a) {
            const std::string list = (*a)[1];
            for (std::sregex_iterator w(list.begin(), list.end(), word); w != end; ++w) {
                keys.insert((*w)[1]);
            }
        }
    }
    return keys;
}

TEST(SiteKeys, AllStandInTheReadme) {
    const std::set<std::string> keys = known_keys();
    ASSERT_GT(keys.size(), 60u);
    const std::string readme =
        content_of(std::filesystem::path(NOONSHELL_SOURCE_DIR) / "README.md");
    for (const std::string& key : keys) {
        EXPECT_TRUE(readme.find("`" + key + "`") != std::string::npos ||
                    readme.find("[" + key + "]") != std::string::npos ||
                    readme.find("." + key + "]") != std::string::npos)
            << key << " is not explained in README.md";
    }
}

}  // namespace
