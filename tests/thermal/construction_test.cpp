#include "thermal/construction.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <set>

#include "geometry/diagnostics.hpp"
#include "thermal/air_layers.hpp"

namespace noonshell {
namespace {

TEST(Construction, ShippedMaterialsAreWholeAndSourced) {
    std::set<std::string> names;
    for (const Material& m : shipped_materials()) {
        SCOPED_TRACE(m.name);
        EXPECT_TRUE(names.insert(m.name).second) << "named twice";
        EXPECT_NO_THROW(validate(Layer{m, 0.01, {}}, "test"));
        EXPECT_TRUE(m.source.starts_with("[") || m.source == "common practice") << m.source;
        EXPECT_EQ(find_material(m.name), &m);
    }
    for (const char* name :
         {"steel", "plywood", "mineral wool", "eps", "xps", "pir", "gypsum board", "osb",
          "concrete", "aluminium", "dry sand", "moist soil"})
        EXPECT_NE(find_material(name), nullptr) << name;
    EXPECT_EQ(find_material("unobtainium"), nullptr);
}

// [ashrae2021] ch. 26 table 1: printed resistances and ranges of conductivity.
TEST(Construction, ShippedMaterialsLieInTheHandbooksRanges) {
    const auto k = [](const char* name) { return find_material(name)->conductivity_w_mk; };
    EXPECT_EQ(k("steel"), 45.28);
    EXPECT_GE(k("mineral wool"), 0.033);
    EXPECT_LE(k("mineral wool"), 0.040);
    EXPECT_GE(k("eps"), 0.035);
    EXPECT_LE(k("eps"), 0.037);
    EXPECT_GE(k("xps"), 0.026);
    EXPECT_LE(k("xps"), 0.029);
    EXPECT_GE(k("pir"), 0.023);
    EXPECT_LE(k("pir"), 0.025);
    EXPECT_EQ(k("gypsum board"), 0.16);
    EXPECT_NEAR(0.011 / k("osb"), 0.11, 0.03);
}

TEST(Construction, DefaultsAreABareContainer) {
    for (const Construction& c : {bare_wall(), bare_roof(), bare_floor()})
        EXPECT_NO_THROW(validate(c));
    // 1.6 mm of steel: 12.5 kg/m2; with its corrugation 13.4 kg/m2 and 6.0 to 6.7 kJ/(m2 K).
    EXPECT_NEAR(bare_wall().layers[0].heat_capacity_j_m2k(), 6259, 1);
    EXPECT_NEAR(bare_wall().layers[0].heat_capacity_j_m2k() * 1.065, 6350, 350);
    EXPECT_EQ(bare_roof().layers[0].thickness_m, 0.002);
    // Floor of 28 mm plywood between two sheltered faces, heat down: U about 1.98 (derived).
    const double film = inside_surface_resistance_m2k_w(HeatFlow::down);
    EXPECT_NEAR(1 / (layers_resistance_m2k_w(bare_floor()) + 2 * film), 1.98, 0.005);
}

// Arithmetic of a printed assembly, [ashrae2021] ch. 27 example 1: 150 mm foam of 0.035 W/(m K).
TEST(Construction, ResistancesAddUp) {
    Construction c{.name = "panel",
                   .layers = {{{"foam", 0.035, 30, 1400, ""}, 0.150, {}}, {{}, 0, 0.27}},
                   .cladding = {}};
    EXPECT_NEAR(layers_resistance_m2k_w(c), 4.29 + 0.27, 0.005);
}

std::string complaint(const Construction& c) {
    try {
        validate(c);
    } catch (const InputError& error) {
        return error.what();
    }
    return "";
}

TEST(Construction, SaysWhatIsWrongAndWhere) {
    Construction c = bare_wall();
    EXPECT_EQ(complaint(c), "");
    c.layers.push_back({{"foam", -0.02, 30, 1400, ""}, 0.05, {}});
    EXPECT_EQ(
        complaint(c),
        "construction \"bare wall\": layer 2: foam: conductivity_w_mk: expected a conductivity "
        "above 0 W/(m K), saw -0.02");
    c.layers[1].material.conductivity_w_mk = 0.02;
    c.layers[1].thickness_m = 50;  // millimetres taken for metres
    EXPECT_NE(complaint(c).find("layer 2: foam: thickness_m"), std::string::npos);
    c.layers[1].thickness_m = std::numeric_limits<double>::quiet_NaN();
    EXPECT_NE(complaint(c).find("saw nan"), std::string::npos);
    c.layers[1].resistance_m2k_w = 0.0;
    EXPECT_NE(complaint(c).find("resistance_m2k_w"), std::string::npos);
    c.layers.clear();
    EXPECT_NE(complaint(c).find("at least one layer"), std::string::npos);
}

TEST(Construction, ChecksFacesAndCladding) {
    for (const double bad : {-0.1, 1.1, std::numeric_limits<double>::quiet_NaN()}) {
        Construction c = bare_wall();
        c.outside_absorptance = bad;
        EXPECT_NE(complaint(c).find("outside_absorptance"), std::string::npos);
        c = bare_wall();
        c.outside_emittance = bad;
        EXPECT_NE(complaint(c).find("outside_emittance"), std::string::npos);
        c = bare_wall();
        c.inside_emittance = bad;
        EXPECT_NE(complaint(c).find("inside_emittance"), std::string::npos);
    }
    Construction clad = bare_wall();
    clad.cladding = VentedCladding{.sheet = bare_wall().layers[0]};
    EXPECT_EQ(complaint(clad), "");
    clad.cladding->gap_depth_m = 0;
    EXPECT_NE(complaint(clad).find("cladding: gap_depth_m"), std::string::npos);
    clad.cladding->gap_depth_m = 0.05;
    clad.cladding->opening_m2_per_m = -1;
    EXPECT_NE(complaint(clad).find("opening_m2_per_m"), std::string::npos);
    clad.cladding->opening_m2_per_m = 0;  // closed is allowed
    EXPECT_EQ(complaint(clad), "");
    clad.cladding->inner_emittance = 0;
    EXPECT_NE(complaint(clad).find("inner_emittance"), std::string::npos);
}

// Steel 45, aluminium 160 to 230, concrete 0.5 to 2, wood 0.1 to 0.2, glass 1 W/(m K): common
// handbook values.
TEST(Construction, TellsWhereMetalIs) {
    Construction wall = bare_wall();
    EXPECT_TRUE(is_metal_outside(wall) && holds_metal(wall));
    EXPECT_FALSE(is_metal_outside(bare_floor()) || holds_metal(bare_floor()));
    EXPECT_FALSE(holds_metal(clear_pane()));
    wall.layers.insert(wall.layers.begin(), bare_floor().layers.front());
    EXPECT_TRUE(!is_metal_outside(wall) && holds_metal(wall));
    wall.cladding.emplace();
    wall.cladding->sheet = bare_wall().layers.front();
    EXPECT_TRUE(is_metal_outside(wall));
    Layer resistance;
    resistance.resistance_m2k_w = 1;
    resistance.material = bare_wall().layers.front().material;
    wall = {};
    wall.layers = {resistance};
    EXPECT_FALSE(holds_metal(wall));
}

}  // namespace
}  // namespace noonshell
