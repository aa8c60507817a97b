// The site file that README.md shows is one that the program reads; its materials are those that
// the program has.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>
#include <variant>

#include "cli/site_file.hpp"
#include "thermal/construction.hpp"
#include "thermal/outside_finish.hpp"
#include "thermal/reflectance_index.hpp"

namespace noonshell {
namespace {

std::string readme_text() {
    std::ifstream readme(NOONSHELL_SOURCE_DIR "/README.md");
    std::ostringstream text;
    text << readme.rdbuf();
    return text.str();
}

/// [astm_e1980] by reflectance_index, which its own tests hold against the standard.
TEST(ReadmeSiteFile, ListsTheFinishesWithTheirValues) {
    const std::string all = readme_text();
    std::size_t rows = 0;
    for (auto at = all.find("\n| \"", all.find("| `outside_finish` | new"));
         all.compare(at, 4, "\n| \"") == 0; at = all.find('\n', at + 1))
        ++rows;
    EXPECT_EQ(rows, shipped_finishes().size());
    for (const OutsideFinish& f : shipped_finishes()) {
        const auto index = [&](double reflectance) {
            return solar_reflectance_index(reflectance, f.emittance, StandardWind::medium);
        };
        EXPECT_NE(
            all.find(fmt::format("\n| \"{}\" | {:g} | {:g} | {:g} | {:.0f} | {:.0f} | {} |\n",
                                 f.name, f.new_reflectance, f.aged_reflectance, f.emittance,
                                 index(f.new_reflectance), index(f.aged_reflectance), f.source)),
            std::string::npos)
            << f.name;
    }
}

TEST(ReadmeSiteFile, ListsTheMaterialsWithTheirValues) {
    const std::string all = readme_text();
    std::size_t rows = 0;
    for (auto at = all.find("\n| \"", all.find("| `material` |"));
         all.compare(at, 4, "\n| \"") == 0; at = all.find('\n', at + 1))
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
