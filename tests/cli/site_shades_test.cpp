// Shade tables of the site file: values arrive with their defaults recorded, and what is wrong is
// named with its line and column.
#include "cli/site_shades.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace noonshell {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

struct Read {
    ShadeSettings shades;
    std::vector<InputRecord> inputs;

    const InputRecord* record(const std::string& key) const {
        const auto found =
            std::ranges::find_if(inputs, [&](const InputRecord& r) { return r.key == key; });
        return found == inputs.end() ? nullptr : &*found;
    }
};

Read read(const std::string& toml) {
    Read out;
    out.shades = read_shades(parse_toml(toml, "site.toml", shade_tables), out.inputs);
    return out;
}

TEST(SiteShades, NoTablesMeanNoShades) {
    const Read site = read("");
    EXPECT_TRUE(site.shades.empty());
    EXPECT_TRUE(site.inputs.empty());
}

TEST(SiteShades, ReadsEveryKey) {
    const Read site = read(R"([[shade_roof]]
name = "canopy"
over = ["bunk-*", "mess"]
height_m = 1.1
overhang_m = [0.1, 0.2, 0.3, 0.4]
tilt_deg = 7
tilt_towards_deg = 225
thickness_m = 0.03
slat_width_m = 0.12
slat_gap_m = 0.06
slats_along_deg = 90

[[overhang]]
name = "brow"
walls = ["mess/wall-s"]
depth_m = 1.2
width_m = 5.6
offset_m = -0.4
height_m = 2.4
tilt_deg = -5
thickness_m = 0.06
gap_m = 0.1

[[fin]]
name = "blade"
walls = ["mess/wall-*"]
depth_m = 1.6
height_m = 2.3
foot_m = 0.1
offset_m = 2
thickness_m = 0.07
gap_m = 0.2
)");
    ASSERT_EQ(site.shades.roofs.size(), 1u);
    const ShadeRoof& roof = site.shades.roofs[0];
    EXPECT_EQ(roof.name, "canopy");
    EXPECT_THAT(roof.over, ElementsAre("bunk-*", "mess"));
    EXPECT_EQ(roof.height_m, 1.1);
    EXPECT_THAT(roof.overhang_m, ElementsAre(0.1, 0.2, 0.3, 0.4));
    EXPECT_EQ(roof.tilt_deg, 7);
    EXPECT_EQ(roof.tilt_towards_deg, 225);
    EXPECT_EQ(roof.thickness_m, 0.03);
    ASSERT_TRUE(roof.slats);
    EXPECT_EQ(roof.slats->width_m, 0.12);
    EXPECT_EQ(roof.slats->gap_m, 0.06);
    EXPECT_EQ(roof.slats->along_deg, 90);
    EXPECT_EQ(roof.place.line, 2u);
    ASSERT_EQ(site.shades.overhangs.size(), 1u);
    const Overhang& brow = site.shades.overhangs[0];
    EXPECT_EQ(brow.name, "brow");
    EXPECT_THAT(brow.walls, ElementsAre("mess/wall-s"));
    EXPECT_EQ(brow.depth_m, 1.2);
    EXPECT_EQ(brow.width_m, 5.6);
    EXPECT_EQ(brow.offset_m, -0.4);
    EXPECT_EQ(brow.height_m, 2.4);
    EXPECT_EQ(brow.tilt_deg, -5);
    EXPECT_EQ(brow.thickness_m, 0.06);
    EXPECT_EQ(brow.gap_m, 0.1);
    ASSERT_EQ(site.shades.fins.size(), 1u);
    const Fin& blade = site.shades.fins[0];
    EXPECT_EQ(blade.name, "blade");
    EXPECT_EQ(blade.depth_m, 1.6);
    EXPECT_EQ(blade.height_m, 2.3);
    EXPECT_EQ(blade.foot_m, 0.1);
    EXPECT_EQ(blade.offset_m, 2);
    EXPECT_EQ(blade.thickness_m, 0.07);
    EXPECT_EQ(blade.gap_m, 0.2);
    for (const InputRecord& record : site.inputs) {
        EXPECT_EQ(record.origin, InputOrigin::site_file) << record.key;
    }
    ASSERT_NE(site.record("shade_roof[1].overhang_m"), nullptr);
}

TEST(SiteShades, RecordsDefaultsWithTheirSource) {
    const Read site = read(
        "[[shade_roof]]\nname = \"a\"\nover = [\"*\"]\noverhang_m = 0.7\nslat_width_m = 0.2\n"
        "[[overhang]]\nname = \"b\"\nwalls = [\"*\"]\ndepth_m = 1\n"
        "[[fin]]\nname = \"c\"\nwalls = [\"*\"]\ndepth_m = 1\n");
    EXPECT_THAT(site.shades.roofs[0].overhang_m, ElementsAre(0.7, 0.7, 0.7, 0.7));
    EXPECT_EQ(site.shades.roofs[0].slats->gap_m, 0.2);
    EXPECT_FALSE(site.shades.roofs[0].slats->along_deg);
    EXPECT_FALSE(site.shades.overhangs[0].width_m);
    EXPECT_FALSE(site.shades.overhangs[0].height_m);
    EXPECT_FALSE(site.shades.fins[0].height_m);
    for (const char* key : {"shade_roof[1].height_m", "shade_roof[1].slats_along_deg",
                            "overhang[1].width_m", "overhang[1].height_m", "fin[1].foot_m"}) {
        const InputRecord* record = site.record(key);
        ASSERT_NE(record, nullptr) << key;
        EXPECT_EQ(record->origin, InputOrigin::by_default) << key;
        EXPECT_FALSE(record->source.empty()) << key;
    }
    EXPECT_EQ(site.record("shade_roof[1].overhang_m")->origin, InputOrigin::site_file);
}

struct BadTable {
    const char* name;
    std::string toml;
    std::size_t line, column;
    const char* expected;
    const char* seen;
};

void PrintTo(const BadTable& bad, std::ostream* out) {
    *out << bad.toml;
}

class RefusedShadeTable : public testing::TestWithParam<BadTable> {};

TEST_P(RefusedShadeTable, IsNamedWithItsPlace) {
    const BadTable& bad = GetParam();
    try {
        read(bad.toml);
        FAIL() << "accepted";
    } catch (const InputError& error) {
        EXPECT_EQ(error.place().line, bad.line) << error.what();
        EXPECT_EQ(error.place().column, bad.column) << error.what();
        EXPECT_THAT(error.expected(), HasSubstr(bad.expected));
        EXPECT_THAT(error.seen(), HasSubstr(bad.seen));
    }
}

const std::string roof = "[[shade_roof]]\nname = \"a\"\nover = [\"*\"]\n";
const std::string brow = "[[overhang]]\nname = \"b\"\nwalls = [\"*\"]\ndepth_m = 1\n";
const std::string fin = "[[fin]]\nname = \"c\"\nwalls = [\"*\"]\ndepth_m = 1\n";

INSTANTIATE_TEST_SUITE_P(
    Places, RefusedShadeTable,
    testing::Values(
        BadTable{"unknown", roof + "overhang = 1\n", 4, 1, "\"overhang_m\"", "\"overhang\""},
        BadTable{"no_name", "[[fin]]\nwalls = [\"*\"]\n", 1, 1, "", "nothing"},
        BadTable{"no_over", "[[shade_roof]]\nname = \"a\"\n", 1, 1, "units", "nothing"},
        BadTable{"empty_over", "[[shade_roof]]\nname = \"a\"\nover = []\n", 3, 8, "units", "none"},
        BadTable{"no_depth", "[[overhang]]\nname = \"b\"\nwalls = [\"*\"]\n", 1, 1, "", "nothing"},
        BadTable{"three_sides", roof + "overhang_m = [1, 2, 3]\n", 4, 14, "4", "3"},
        BadTable{"negative_side", roof + "overhang_m = [1, 2, -3, 4]\n", 4, 21, "from 0", "-3"},
        BadTable{"steep_roof", roof + "tilt_deg = 61\n", 4, 12, "from 0 to 60", "61"},
        BadTable{"rising_roof", roof + "tilt_deg = -1\n", 4, 12, "from 0 to 60", "-1"},
        BadTable{"steep_brow", brow + "tilt_deg = -61\n", 5, 12, "from -60 to 60", "-61"},
        BadTable{"thin", fin + "thickness_m = 0\n", 5, 15, "above 0", "0"},
        BadTable{"not_a_number", brow + "gap_m = nan\n", 5, 9, "number", "nan"},
        BadTable{"gap_without_slats", roof + "slat_gap_m = 0.1\n", 4, 14, "slat_width_m",
                 "without slats"},
        BadTable{"odd_name", "[[fin]]\nname = \"a/b\"\nwalls = [\"*\"]\ndepth_m = 1\n", 2, 8,
                 "without /", "a/b"},
        BadTable{"same_name", roof + "[[fin]]\nname = \"a\"\nwalls = [\"*\"]\ndepth_m = 1\n", 5, 8,
                 "not used before", "\"a\" again"}),
    [](const testing::TestParamInfo<BadTable>& bad) { return std::string(bad.param.name); });

}  // namespace
}  // namespace noonshell
