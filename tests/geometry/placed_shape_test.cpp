// Sizes and headings of folded bodies, against the dimensions that the profile was drawn with.
#include "geometry/placed_shape.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::add_face;
using test_models::turned;

constexpr double depth_m = 0.036, height_m = 2.4, pitch_m = 0.30;
constexpr int n_pitches = 19;

/// A folded sheet along +X with one steep and one flat flank in each pitch, turned about the
/// upright: outer flat 0.1 m, flank 0.06 m wide, inner flat 0.1 m, flank 0.04 m wide.
Model folded_sheet(double turn_deg) {
    std::vector<Vec3> profile;
    for (int i = 0; i < n_pitches; ++i) {
        const double x = i * pitch_m;
        for (const Vec3& p : {Vec3(x, 0, 0), Vec3(x + 0.10, 0, 0), Vec3(x + 0.16, depth_m, 0),
                              Vec3(x + 0.26, depth_m, 0)}) {
            profile.push_back(p);
        }
    }
    profile.emplace_back(n_pitches * pitch_m, 0, 0);
    Model model;
    Body body;
    body.id = body.name = "sheet";
    model.bodies.push_back(body);
    for (std::size_t i = 1; i < profile.size(); ++i) {
        const Vec3 a = turned(profile[i - 1], turn_deg), b = turned(profile[i], turn_deg);
        const Vec3 up(0, 0, height_m);
        add_face(model, {{a, b, b + up, a + up}});
    }
    return model;
}

TEST(PlacedShape, FlanksOfFoldsDoNotTurnASheet) {
    for (const double turn_deg : {0.0, 14.0, 44.9, 90.0, 133.0}) {
        const Model model = folded_sheet(turn_deg);
        const BodyId sheet[] = {BodyId(0)};
        const PlacedShape shape = placed_shape(model, sheet);
        EXPECT_FALSE(shape.round);
        EXPECT_NEAR(std::remainder(shape.heading_deg - turn_deg, 180), 0, 1e-6) << turn_deg;
        EXPECT_NEAR(shape.sizes_m.x(), n_pitches * pitch_m, 1e-9);
        EXPECT_NEAR(shape.sizes_m.y(), depth_m, 1e-9);
        EXPECT_NEAR(shape.sizes_m.z(), height_m, 1e-12);
    }
}

/// A prism of many equal sides looks all ways alike.
TEST(PlacedShape, ARoundTowerHasNoHeading) {
    Model model;
    Body body;
    body.id = body.name = "tower";
    model.bodies.push_back(body);
    constexpr int sides = 36;
    for (int i = 0; i < sides; ++i) {
        const Vec3 a = turned(Vec3(1.5, 0, 0), 360.0 * i / sides);
        const Vec3 b = turned(Vec3(1.5, 0, 0), 360.0 * (i + 1) / sides);
        const Vec3 up(0, 0, 3);
        add_face(model, {{a, b, b + up, a + up}});
    }
    const BodyId tower[] = {BodyId(0)};
    EXPECT_TRUE(placed_shape(model, tower).round);
}

}  // namespace
}  // namespace noonshell
