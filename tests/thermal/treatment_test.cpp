// What a treatment changes, where it goes and what it costs.
#include "thermal/treatment.hpp"

#include <gtest/gtest.h>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

Treatment white() {
    Treatment t;
    t.name = "white coat";
    t.cost_per_m2 = 12;
    t.fixed_cost = 90;
    t.new_reflectance = 0.82;
    t.aged_reflectance = 0.62;
    t.emittance = 0.88;
    return t;
}

Surface roof_of(double exposed_area_m2) {
    Surface s;
    s.id = "unit-3/roof";
    s.unit = UnitId(2);
    s.area_m2 = 20;
    s.exposed_area_m2 = exposed_area_m2;
    return s;
}

TEST(Treatment, CoatingWorksWithItsAgedReflectance) {
    const Construction after = treated(bare_roof(), white());
    EXPECT_DOUBLE_EQ(after.outside_absorptance, 1 - 0.62);
    EXPECT_DOUBLE_EQ(after.outside_emittance, 0.88);
    EXPECT_EQ(after.layers.size(), bare_roof().layers.size());
}

TEST(Treatment, InsulationGoesOutsideTheSteel) {
    Treatment wrap = white();
    wrap.kind = TreatmentKind::outside_insulation;
    wrap.added = {{{"foam", 0.03, 30, 1400, "test"}, 0.06, std::nullopt}};
    const Construction after = treated(bare_wall(), wrap);
    ASSERT_EQ(after.layers.size(), bare_wall().layers.size() + 1);
    EXPECT_EQ(after.layers.front().material.name, "foam");
    EXPECT_NEAR(layers_resistance_m2k_w(after) - layers_resistance_m2k_w(bare_wall()), 2.0, 1e-12);
}

TEST(Treatment, ACoatIsAsRoughAsItsGroundAndANewFaceSmoothUnlessSaid) {
    Construction brick = bare_wall();
    brick.roughness = Roughness::rough;
    EXPECT_EQ(treated(brick, white()).roughness, Roughness::rough);
    Treatment filler = white();
    filler.roughness = Roughness::smooth;
    EXPECT_EQ(treated(brick, filler).roughness, Roughness::smooth);
    Treatment render = white();
    render.kind = TreatmentKind::outside_insulation;
    render.added = {{{"foam", 0.03, 30, 1400, "test"}, 0.06, std::nullopt}};
    EXPECT_EQ(treated(brick, render).roughness, Roughness::very_smooth);
    render.roughness = Roughness::very_rough;
    EXPECT_EQ(treated(treated(brick, render), white()).roughness, Roughness::very_rough);
}

TEST(Treatment, CostIsCallOutPlusExposedArea) {
    EXPECT_DOUBLE_EQ(cost_of(white(), 7.5), 90 + 12 * 7.5);
}

TEST(Treatment, FitsPatternsAndExposedUnitSurfacesOnly) {
    EXPECT_TRUE(fits(white(), roof_of(4)));
    EXPECT_FALSE(fits(white(), roof_of(0)));
    Surface shade = roof_of(4);
    shade.unit = UnitId::none();
    EXPECT_FALSE(fits(white(), shade));
    Treatment walls_only = white();
    walls_only.surfaces = {"*/wall*"};
    EXPECT_FALSE(fits(walls_only, roof_of(4)));
}

TEST(Treatment, NonsenseIsNamed) {
    const auto message = [](const Treatment& t) -> std::string {
        try {
            validate(t);
        } catch (const InputError& e) {
            return e.what();
        }
        return "";
    };
    EXPECT_EQ(message(white()), "");
    Treatment t = white();
    t.aged_reflectance = 1.2;
    EXPECT_NE(message(t).find("white coat"), std::string::npos);
    EXPECT_NE(message(t).find("aged_reflectance"), std::string::npos);
    t = white();
    t.cost_per_m2 = -1;
    EXPECT_NE(message(t).find("cost_per_m2"), std::string::npos);
    t = white();
    t.kind = TreatmentKind::vented_cladding;
    EXPECT_NE(message(t).find("gap"), std::string::npos);
    t.kind = TreatmentKind::outside_insulation;
    EXPECT_NE(message(t).find("layer"), std::string::npos);
}

}  // namespace
}  // namespace noonshell
