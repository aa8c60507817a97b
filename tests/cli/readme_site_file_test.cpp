// The site file that README.md shows is one that the program reads.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>
#include <variant>

#include "cli/site_file.hpp"

namespace noonshell {
namespace {

TEST(ReadmeSiteFile, TheLeastThatWorksIsRead) {
    std::ifstream readme(NOONSHELL_SOURCE_DIR "/README.md");
    std::ostringstream text;
    text << readme.rdbuf();
    const std::string all = text.str();
    const std::string fence = "```toml\n";
    const auto begin = all.find(fence);
    ASSERT_NE(begin, std::string::npos);
    const auto end = all.find("```", begin + fence.size());
    const SiteFile site =
        parse_site_file(all.substr(begin + fence.size(), end - begin - fence.size()), "site.toml");
    EXPECT_EQ(site.model.patterns.units.size(), 1u);
    EXPECT_TRUE(std::holds_alternative<WeatherFile>(site.weather.kind));
    EXPECT_DOUBLE_EQ(site.site.north_deg, 14);
    EXPECT_EQ(site.treatments.size(), 4u);  // the shipped examples
}

}  // namespace
}  // namespace noonshell
