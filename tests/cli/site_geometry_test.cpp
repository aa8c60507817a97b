// [[unit]], [[surface]] and pane_colours: what they mean, and bad values with their places.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "cli/site_file.hpp"

namespace noonshell {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

SiteFile parse(const std::string& text) {
    return parse_site_file(text, "site.toml");
}

std::string complaint(const std::string& text) {
    try {
        parse(text);
    } catch (const InputError& error) {
        return error.what();
    }
    return "none";
}

TEST(SiteGeometry, UnitsFromBodiesAndFiguresThatTheUserKnows) {
    const SiteFile site = parse(
        "[[unit]]\nname = \"shop\"\nbodies = [\"panels-*\", \"frame\"]\nvolume_m3 = 31.5\n"
        "[[unit]]\nname = \"bunk-*\"\nfloor_area_m2 = 13.2\n");
    ASSERT_EQ(site.model.patterns.named_units.size(), 1u);
    EXPECT_EQ(site.model.patterns.named_units[0].name, "shop");
    EXPECT_THAT(site.model.patterns.named_units[0].bodies, ElementsAre("panels-*", "frame"));
    ASSERT_EQ(site.model.envelope.unit_figures.size(), 2u);
    EXPECT_EQ(site.model.envelope.unit_figures[0].volume_m3, 31.5);
    EXPECT_FALSE(site.model.envelope.unit_figures[0].floor_area_m2);
    EXPECT_EQ(site.model.envelope.unit_figures[1].unit, "bunk-*");
}

TEST(SiteGeometry, SurfacesOfTheirOwnAndPanes) {
    const SiteFile site = parse(
        "[model]\npanes = [\"window*\"]\npane_colours = [\"#0080ff\"]\n"
        "[[surface]]\nname = \"mural\"\nfaces = [\"mural*\"]\ncolours = [\"#FF0000\", "
        "\"#00ff00\"]\n");
    const ApartFaces& apart = site.model.envelope.apart;
    ASSERT_EQ(apart.surfaces.size(), 1u);
    EXPECT_EQ(apart.surfaces[0].name, "mural");
    ASSERT_EQ(apart.surfaces[0].colours.size(), 2u);
    EXPECT_EQ(apart.surfaces[0].colours[0], (Rgb{1, 0, 0}));
    EXPECT_THAT(apart.panes, ElementsAre("window*"));
    ASSERT_EQ(site.model.patterns.pane_colours.size(), 1u);
    EXPECT_EQ(site.model.patterns.pane_colours[0], (Rgb{0, 128.0F / 255, 1}));
}

TEST(SiteGeometry, ConstructionOfAPane) {
    const SiteFile site = parse(
        "[[construction]]\nname = \"tinted\"\nsurfaces = [\"*/window*\"]\n"
        "outside_absorptance = 0.4\nsolar_transmittance = 0.5\n"
        "layers = [{material = \"glass\", thickness_mm = 6}]\n");
    EXPECT_EQ(site.constructions[0].construction.solar_transmittance, 0.5);
}

TEST(SiteGeometry, RoughnessOfConstructionsAndTreatments) {
    const std::string foam = "layers = [{material = \"xps\", thickness_mm = 50}]\n";
    const SiteFile site = parse(
        "[run]\nwind_by_height = true\n"
        "[[construction]]\nname = \"brick\"\nroughness = \"rough\"\n" +
        foam + "[[construction]]\nname = \"plain\"\n" + foam +
        "[[treatment]]\nname = \"coat\"\nkind = \"coating\"\ncost_per_m2 = 1\n" +
        "[[treatment]]\nname = \"render\"\nkind = \"outside insulation\"\ncost_per_m2 = 1\n" +
        "roughness = \"very rough\"\n" + foam +
        "[[treatment]]\nname = \"board\"\nkind = \"outside insulation\"\ncost_per_m2 = 1\n" + foam);
    EXPECT_TRUE(site.run.wind_by_height);
    EXPECT_EQ(site.constructions[0].construction.roughness, Roughness::rough);
    EXPECT_EQ(site.constructions[1].construction.roughness, Roughness::very_smooth);
    EXPECT_FALSE(site.treatments[0].roughness);
    EXPECT_EQ(site.treatments[1].roughness, Roughness::very_rough);
    EXPECT_EQ(site.treatments[2].roughness, Roughness::very_smooth);
    EXPECT_FALSE(parse("").run.wind_by_height);
}

struct BadTable {
    const char* text;
    const char* expected;
};

class BadSiteGeometry : public testing::TestWithParam<BadTable> {};

TEST_P(BadSiteGeometry, IsNamedWithItsPlace) {
    const std::string said = complaint(GetParam().text);
    EXPECT_THAT(said, HasSubstr("site.toml:"));
    EXPECT_THAT(said, HasSubstr(GetParam().expected));
}

INSTANTIATE_TEST_SUITE_P(
    Tables, BadSiteGeometry,
    testing::Values(
        BadTable{"[[unit]]\nbodies = [\"a\"]\n", "name"},
        BadTable{"[[unit]]\nname = \"a\"\n", "bodies, floor_area_m2 or volume_m3"},
        BadTable{"[[unit]]\nname = \"a/b\"\nbodies = [\"a\"]\n", "without / * ?"},
        BadTable{
            "[[unit]]\nname = \"a\"\nbodies = [\"a\"]\n[[unit]]\nname = \"a\"\nbodies = [\"b\"]\n",
            "not used before"},
        BadTable{"[[unit]]\nname = \"a\"\nvolume_m3 = 0\n", "above 0"},
        BadTable{"[[unit]]\nname = \"a\"\nvolume_m3 = nan\n", "volume_m3"},
        BadTable{"[[unit]]\nname = \"a\"\nbodys = [\"b\"]\n", "bodies"},
        BadTable{"[[surface]]\nname = \"a\"\n", "faces"},
        BadTable{"[[surface]]\nname = \"a\"\ncolours = [\"red\"]\n", "#87ceeb"},
        BadTable{"[[surface]]\nname = \"a\"\ncolours = [\"#12345g\"]\n", "#12345g"},
        BadTable{"[model]\npane_colours = \"#87ceeb\"\n", "pane_colours"},
        BadTable{"[[construction]]\nname = \"a\"\nsolar_transmittance = 1.2\nlayers = "
                 "[{material = \"glass\", thickness_mm = 6}]\n",
                 "solar_transmittance"},
        BadTable{"[run]\nwind_by_height = 1\n", "true or false"},
        BadTable{"[run]\nwind_by_hight = true\n", "wind_by_height"},
        BadTable{"[[construction]]\nname = \"a\"\nroughness = \"sandy\"\nlayers = "
                 "[{material = \"glass\", thickness_mm = 6}]\n",
                 "\"medium smooth\""},
        BadTable{"[[construction]]\nname = \"a\"\nroughness = \"rough\"\n"
                 "pane_u_value_w_m2k = 5.7\npane_g_value = 0.8\n",
                 "roughness"},
        BadTable{"[[treatment]]\nname = \"a\"\nkind = \"window film\"\ncost_per_m2 = 1\n"
                 "pane_g_value = 0.4\nroughness = \"rough\"\n",
                 "roughness"}));

}  // namespace
}  // namespace noonshell
