// The site file that README.md shows is one that the program reads; its materials are those that
// the program has.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>
#include <variant>

#include "cli/site_file.hpp"
#include "thermal/construction.hpp"

namespace noonshell {
namespace {

std::string readme_text() {
    std::ifstream readme(NOONSHELL_SOURCE_DIR "/README.md");
    std::ostringstream text;
    text << readme.rdbuf();
    return text.str();
}

TEST(ReadmeSiteFile, ListsTheMaterialsWithTheirValues) {
    const std::string all = readme_text();
    std::size_t rows = 0;
    for (auto at = all.find("| `material` |"); (at = all.find("\n| \"", at)) != std::string::npos;
         ++at)
        ++rows;
    EXPECT_EQ(rows, shipped_materials().size());
    for (const Material& m : shipped_materials()) {
        std::istringstream row;
        const std::string head = "| \"" + m.name + "\" | ";
        const auto at = all.find(head);
        ASSERT_NE(at, std::string::npos) << m.name;
        row.str(all.substr(at + head.size()));
        double conductivity = 0, density = 0, heat = 0;
        std::string bar, source;
        row >> conductivity >> bar >> density >> bar >> heat >> bar;
        std::getline(row, source);
        EXPECT_EQ(conductivity, m.conductivity_w_mk) << m.name;
        EXPECT_EQ(density, m.density_kg_m3) << m.name;
        EXPECT_EQ(heat, m.specific_heat_j_kgk) << m.name;
        EXPECT_EQ(source, " " + m.source + " |");
    }
}

TEST(ReadmeSiteFile, TheLeastThatWorksIsRead) {
    const std::string all = readme_text();
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
