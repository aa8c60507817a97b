// What planned shades measure, against closed forms: a level roof over a box of l by w that reaches
// r beyond it has (l + 2r)(w + 2r), a plate of depth d along a wall of length l has d l.
#include "geometry/shade_measure.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

constexpr double length = 6.058, width = 2.438, height = 2.591;  // 20 ft, ISO 668
constexpr double tolerance = 1e-9;

class ShadeMeasureTest : public testing::Test {
  protected:
    ShadeMeasureTest()
        : made(test_models::box_model(
              {{"hut-1", {0, 0, 0}, {length, width, height}, 0, Role::unit},
               {"hut-2", {20, 0, 0}, {length, width, height}, 0, Role::unit}})),
          envelope(build_envelope(made.model, made.roles, {})) {}
    ShadeMeasure measure(const ShadeSettings& settings) const {
        return measure_shades(made.model, envelope, settings);
    }
    test_models::BoxModel made;
    Envelope envelope;
};

TEST_F(ShadeMeasureTest, OfARoof) {
    for (const double reach_m : {0.0, 0.4, 1.5}) {
        ShadeRoof roof;
        roof.name = "canopy";
        roof.over = {"hut-2"};
        roof.overhang_m.fill(reach_m);
        const ShadeMeasure found = measure({{roof}, {}, {}});
        EXPECT_NEAR(found.area_m2, (length + 2 * reach_m) * (width + 2 * reach_m), tolerance);
        EXPECT_EQ(found.pieces, 1u);
        EXPECT_EQ(found.units, std::vector<UnitId>{UnitId(1)});
        roof.tilt_deg = 20;
        EXPECT_NEAR(measure({{roof}, {}, {}}).area_m2,
                    found.area_m2 / std::cos(20 * std::numbers::pi / 180), tolerance);
    }
}

TEST_F(ShadeMeasureTest, OfPlatesOnWalls) {
    Overhang overhang;
    overhang.name = "awning";
    overhang.walls = {"*/wall-s"};
    overhang.depth_m = 0.9;
    Fin fin;
    fin.name = "fin";
    fin.walls = {"hut-1/wall-w"};
    fin.depth_m = 0.7;
    const ShadeMeasure found = measure({{}, {overhang}, {fin}});
    EXPECT_NEAR(found.area_m2, 2 * 0.9 * length + 0.7 * height, tolerance);
    EXPECT_EQ(found.pieces, 3u);
    EXPECT_EQ(found.units, (std::vector<UnitId>{UnitId(0), UnitId(1)}));
}

TEST_F(ShadeMeasureTest, RefusesWhatMatchesNothing) {
    ShadeRoof roof;
    roof.name = "canopy";
    roof.over = {"barn"};
    EXPECT_THROW(measure({{roof}, {}, {}}), InputError);
}

}  // namespace
}  // namespace noonshell
