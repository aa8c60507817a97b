// Which construction a surface gets, and which are warned about.
#include "cli/building_choice.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace noonshell {
namespace {

Envelope three_surfaces() {
    Envelope envelope;
    envelope.units.resize(1);
    const auto add = [&envelope](const char* id, SurfaceKind kind, bool of_unit) {
        Surface surface;
        surface.id = id;
        surface.kind = kind;
        surface.area_m2 = surface.exposed_area_m2 = 10;
        if (of_unit) surface.unit = UnitId(std::size_t{0});
        envelope.surfaces.push_back(surface);
    };
    add("a/roof", SurfaceKind::roof, true);
    add("a/wall-s", SurfaceKind::wall, true);
    add("a/floor", SurfaceKind::floor, true);
    add("canopy/top", SurfaceKind::shade, false);
    return envelope;
}

const std::string rules =
    "[[construction]]\nname = \"roof\"\nsurfaces = [\"*/roof\"]\n"
    "layers = [{ material = \"steel\", thickness_mm = 2 }]\n"
    "[[construction]]\nname = \"all of a\"\nsurfaces = [\"a/*\"]\n"
    "layers = [{ material = \"pir\", thickness_mm = 50 }]\n"
    "[[construction]]\nname = \"late roof\"\nsurfaces = [\"a/roof\"]\n"
    "layers = [{ material = \"pir\", thickness_mm = 50 }]\n";

TEST(BuildingChoice, FirstMatchingConstructionHolds) {
    SiteFile site = parse_site_file(rules, "site.toml");
    std::vector<Warning> warnings;
    const Building building = choose_building(three_surfaces(), site, warnings);
    ASSERT_EQ(building.exposed.size(), 4u);
    EXPECT_EQ(building.exposed[0].name, "roof");
    EXPECT_EQ(building.exposed[1].name, "all of a");
    EXPECT_EQ(building.exposed[2].name, "all of a");
    EXPECT_EQ(building.exposed[3].name, bare_roof().name);
    EXPECT_EQ(building.rooms.size(), 1u);
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "construction-matches-nothing");
    EXPECT_EQ(warnings[0].where, "late roof");
}

TEST(BuildingChoice, DefaultsAreRecordedOnceForEachKind) {
    SiteFile site = parse_site_file("", "site.toml");
    std::vector<Warning> warnings;
    const Building building = choose_building(three_surfaces(), site, warnings);
    EXPECT_EQ(building.exposed[1].name, bare_wall().name);
    EXPECT_EQ(building.exposed[2].name, bare_floor().name);
    EXPECT_TRUE(warnings.empty());
    EXPECT_EQ(std::count_if(site.inputs.begin(), site.inputs.end(),
                            [](const InputRecord& record) {
                                return record.key.rfind("construction of", 0) == 0;
                            }),
              4);
}

TEST(BuildingChoice, WarnsOfATreatmentThatFitsNowhere) {
    SiteFile site = parse_site_file(
        "[[treatment]]\nname = \"t\"\nkind = \"coating\"\ncost_per_m2 = 1\nsurfaces = [\"b/*\"]\n",
        "site.toml");
    std::vector<Warning> warnings;
    choose_building(three_surfaces(), site, warnings);
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "treatment-fits-nothing");
}

}  // namespace
}  // namespace noonshell
