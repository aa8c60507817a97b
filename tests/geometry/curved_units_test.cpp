// Curved hollow units and coloured stripes: what is smooth or drawn twice is no relief.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/relief.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::add_face;
using test_models::BoxModel;
using test_models::Polygon3;

constexpr int n_strips = 100;
constexpr double drum_height_m = 2.6, sheet_m = 0.05;

Vec3 on_circle(double radius_m, int k, double z_m) {
    const double turn = 2 * std::numbers::pi * k / n_strips;
    return {radius_m * std::cos(turn), radius_m * std::sin(turn), z_m};
}

/// The faces of a drum: one curved face in strips, a lid and a base; `inward` turns them.
void add_drum(Model& model, double radius_m, double low_m, double high_m, bool inward) {
    std::vector<Polygon3> strips;
    Polygon3 base, lid;
    for (int k = 0; k < n_strips; ++k) {
        strips.push_back({on_circle(radius_m, k, low_m), on_circle(radius_m, k + 1, low_m),
                          on_circle(radius_m, k + 1, high_m), on_circle(radius_m, k, high_m)});
        lid.push_back(on_circle(radius_m, k, high_m));
        base.insert(base.begin(), on_circle(radius_m, k, low_m));
    }
    std::vector<std::vector<Polygon3>> faces{strips, {lid}, {base}};
    for (std::size_t f = 0; f < faces.size(); ++f) {
        for (Polygon3& polygon : faces[f]) {
            if (inward) std::reverse(polygon.begin(), polygon.end());
        }
        add_face(model, faces[f], f > 0);
    }
}

// A drum of sheet, 4 m across: its walls are as large as the strips drawn, 2 pi r h but for their
// sagitta, and nothing of it is open.
TEST(CurvedUnits, AHollowDrumIsNeitherOpenNorFolded) {
    constexpr double radius_m = 2;
    BoxModel made;
    test_models::start_body(made, "drum", Role::unit);
    add_drum(made.model, radius_m, 0, drum_height_m, false);
    add_drum(made.model, radius_m - sheet_m, sheet_m, drum_height_m - sheet_m, true);
    test_models::finish_body(made);
    const Envelope envelope = build_envelope(made.model, made.roles, {});
    EXPECT_TRUE(envelope.warnings.empty()) << envelope.warnings.front().text;
    double walls_m2 = 0;
    for (const Surface& surface : envelope.surfaces) {
        EXPECT_DOUBLE_EQ(surface.relief_ratio(), 1) << surface.id;
        if (surface.kind == SurfaceKind::wall) walls_m2 += surface.area_m2;
    }
    const double chord_m = 2 * radius_m * std::sin(std::numbers::pi / n_strips);
    EXPECT_NEAR(walls_m2, n_strips * chord_m * drum_height_m, 1e-6);
    EXPECT_NEAR(walls_m2, 2 * std::numbers::pi * radius_m * drum_height_m, 2e-3 * walls_m2);
}

Patch upright_patch(std::uint32_t face, const Vec3& corner_m, double width_m, double height_m) {
    Patch patch;
    patch.face = FaceId(face);
    patch.body = BodyId(0);
    patch.frame = {corner_m, {1, 0, 0}, {0, 0, 1}, {0, -1, 0}};
    set_outline(patch, {{{0, 0}, {width_m, 0}, {width_m, height_m}, {0, height_m}}});
    patch.stands_for = {patch.face};
    patch.developed_area_m2 = patch.area_m2;
    return patch;
}

// A stripe painted on a wall of 6 by 2.6 m is drawn as a face over a part of the wall's own; one
// that overlaps it by half a metre as well: the developed area is that of the wall.
TEST(CoplanarFaces, CountOnceInTheDevelopedArea) {
    const double wall_m2 = 6 * 2.6;
    const Skin striped =
        flatten_relief({upright_patch(0, {0, 0, 0}, 6, 2.6), upright_patch(1, {0, 0, 1}, 6, 0.4),
                        upright_patch(2, {1, 0, 0.5}, 1, 1)},
                       true);
    ASSERT_EQ(striped.patches.size(), 1U);
    EXPECT_NEAR(striped.patches[0].area_m2, wall_m2, 1e-6);
    EXPECT_NEAR(striped.patches[0].developed_area_m2, wall_m2, 1e-6);
    // Side by side nothing is counted twice.
    const Skin halves = flatten_relief(
        {upright_patch(0, {0, 0, 0}, 3, 2.6), upright_patch(1, {3, 0, 0}, 3, 2.6)}, true);
    ASSERT_EQ(halves.patches.size(), 1U);
    EXPECT_NEAR(halves.patches[0].developed_area_m2, wall_m2, 1e-6);
    // One before the other is relief: both are steel in the sun's air.
    const Skin boards = flatten_relief(
        {upright_patch(0, {0, 0, 0}, 6, 2.6), upright_patch(1, {0, -0.05, 1}, 6, 0.4)}, true);
    ASSERT_EQ(boards.patches.size(), 1U);
    EXPECT_NEAR(boards.patches[0].developed_area_m2, wall_m2 + 6 * 0.4, 1e-6);
}

}  // namespace
}  // namespace noonshell
