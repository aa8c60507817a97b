// Which side of a body its faces lie on, and the compass names.
#include "geometry/sides.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/compass.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::add_face;
using test_models::Box;
using test_models::box_model;
using test_models::BoxModel;
using test_models::finish_body;
using ::testing::ElementsAre;

const Vec3 container_m(6.058, 2.438, 2.591);

std::vector<Side> sides_of(const Box& box, double north_deg) {
    const BoxModel boxes = box_model({box});
    const auto patches = planar_patches(boxes.model, BodyId(0));
    return box.role == Role::unit ? unit_sides(patches, north_deg)
                                  : shade_sides(patches, north_deg);
}

std::vector<std::string> names(const std::vector<Side>& sides) {
    std::vector<std::string> result;
    for (const Side& side : sides) result.push_back(side.name);
    return result;
}

TEST(CompassPoint, EachOwns45DegreesWithTheLowerBoundIncluded) {
    EXPECT_EQ(compass_point(0), "n");
    EXPECT_EQ(compass_point(22.499999), "n");
    EXPECT_EQ(compass_point(22.5), "ne");
    EXPECT_EQ(compass_point(67.499999), "ne");
    EXPECT_EQ(compass_point(90), "e");
    EXPECT_EQ(compass_point(135), "se");
    EXPECT_EQ(compass_point(180), "s");
    EXPECT_EQ(compass_point(225), "sw");
    EXPECT_EQ(compass_point(270), "w");
    EXPECT_EQ(compass_point(315), "nw");
    EXPECT_EQ(compass_point(337.5), "n");
    EXPECT_EQ(compass_point(359.999999), "n");
}

TEST(CompassAzimuth, RunsClockwiseFromNorthAndAddsTheModelsTurn) {
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({0, 1, 0}, 0), 0);
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({1, 0, 0}, 0), 90);
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({0, -1, 0}, 23), 203);
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({-1, 0, 0}, 90), 0);
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({-1e-13, 1, 0}, 0), 0);  // not 360
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({0, 1, 0}, -725), 355);
    EXPECT_DOUBLE_EQ(compass_azimuth_deg({0, 0, 1}, 40), 0);
}

TEST(UnitSides, BoxHasARoofFourWallsAndAFloor) {
    const auto sides = sides_of({"u", {1, 2, 3}, container_m}, 0);
    EXPECT_THAT(names(sides), ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "floor"));
    EXPECT_NEAR(sides[0].area_m2, 6.058 * 2.438, 1e-12);
    EXPECT_NEAR(sides[1].area_m2, 6.058 * 2.591, 1e-12);
    EXPECT_NEAR(sides[2].area_m2, 2.438 * 2.591, 1e-12);
    EXPECT_EQ(sides[0].kind, SurfaceKind::roof);
    EXPECT_EQ(sides[1].kind, SurfaceKind::wall);
    EXPECT_EQ(sides[5].kind, SurfaceKind::floor);
    EXPECT_DOUBLE_EQ(sides[0].tilt_deg, 0);
    EXPECT_DOUBLE_EQ(sides[1].tilt_deg, 90);
    EXPECT_DOUBLE_EQ(sides[5].tilt_deg, 180);
}

TEST(UnitSides, NamesFollowTheModelsNorth) {
    const Box box{"u", {0, 0, 0}, container_m};
    EXPECT_THAT(names(sides_of(box, 23)),
                ElementsAre("roof", "wall-ne", "wall-se", "wall-sw", "wall-nw", "floor"));
    EXPECT_THAT(names(sides_of(box, 22)),
                ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "floor"));
    EXPECT_THAT(names(sides_of(box, 45)),
                ElementsAre("roof", "wall-ne", "wall-se", "wall-sw", "wall-nw", "floor"));
    EXPECT_THAT(names(sides_of(box, 90)),
                ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "floor"));
    // The long wall on +Y looks east when +Y points east.
    EXPECT_NEAR(sides_of(box, 90)[2].area_m2, 6.058 * 2.591, 1e-12);
}

TEST(UnitSides, TurningModelAndNorthTogetherChangesNothing) {
    // A turn counter-clockwise by d lessens azimuths by d; a north of +d makes up for it.
    const auto still = sides_of({"u", {0, 0, 0}, container_m, 0}, 23);
    for (const double turn : {7.0, 22.5, 45.0, 90.0, 123.4, 200.0, 337.5}) {
        const auto turned = sides_of({"u", {0, 0, 0}, container_m, turn}, 23 + turn);
        EXPECT_EQ(names(turned), names(still)) << "turned by " << turn;
        for (std::size_t s = 0; s < still.size(); ++s) {
            EXPECT_DOUBLE_EQ(turned[s].azimuth_deg, still[s].azimuth_deg);
            EXPECT_NEAR(turned[s].area_m2, still[s].area_m2, 1e-12);
        }
    }
}

TEST(UnitSides, WallsOnACompassBoundaryAreNamedAlikeAfterAnyTurn) {
    for (const double turn : {0.0, 13.0, 77.7, 181.0}) {
        EXPECT_THAT(names(sides_of({"u", {0, 0, 0}, container_m, turn}, 22.5 + turn)),
                    ElementsAre("roof", "wall-ne", "wall-se", "wall-sw", "wall-nw", "floor"));
    }
}

TEST(UnitSides, TwelveSidedPlanJoinsWallsWithin30Degrees) {
    BoxModel out;
    test_models::Polygon3 plan;
    for (int k = 0; k < 12; ++k) {
        const double angle = 2 * std::numbers::pi * k / 12;
        plan.emplace_back(3 * std::cos(angle), 3 * std::sin(angle), 0);
    }
    test_models::add_prism(out, "drum", plan, 2.5);
    const auto patches = planar_patches(out.model, BodyId(0));
    const auto sides = unit_sides(patches, 0);
    std::size_t n_patches = 0, n_walls = 0;
    for (const Side& side : sides) {
        n_patches += side.patches.size();
        n_walls += side.kind == SurfaceKind::wall ? 1 : 0;
        for (const std::uint32_t p : side.patches) {
            EXPECT_GE(patches[p].frame.normal.dot(side.normal), std::cos(std::numbers::pi / 4));
        }
    }
    EXPECT_EQ(n_patches, patches.size());
    // Leading directions lie more than 30 degrees apart, here 60 or more: at most 6 sides. Each
    // gathers itself and at most a neighbour to either hand: at least 4.
    EXPECT_GE(n_walls, 4u);
    EXPECT_LE(n_walls, 6u);
}

TEST(UnitSides, PitchedRoofHasTwoRoofsNamedByCompass) {
    // Ridge along X, slopes of 35 degrees to +Y and -Y.
    BoxModel out;
    const double l = 6, w = 2.4, h = 2.5, r = h + w / 2 * std::tan(35 * std::numbers::pi / 180);
    test_models::start_body(out, "hut", Role::unit);
    const Vec3 a(0, 0, 0), b(l, 0, 0), c(l, w, 0), d(0, w, 0);
    const Vec3 up(0, 0, h), r0(0, w / 2, r), r1(l, w / 2, r);
    add_face(out.model, {{a, d, c, b}});
    add_face(out.model, {{a, b, b + up, a + up}});
    add_face(out.model, {{c, d, d + up, c + up}});
    add_face(out.model, {{b, c, c + up, r1, b + up}});
    add_face(out.model, {{d, a, a + up, r0, d + up}});
    add_face(out.model, {{a + up, b + up, r1, r0}});
    add_face(out.model, {{c + up, d + up, r0, r1}});
    finish_body(out);
    const auto sides = unit_sides(planar_patches(out.model, BodyId(0)), 0);
    EXPECT_THAT(names(sides),
                ElementsAre("roof-n", "roof-s", "wall-n", "wall-e", "wall-s", "wall-w", "floor"));
    EXPECT_NEAR(sides[0].tilt_deg, 35, 1e-9);
}

TEST(UnitSides, OverhangingPartHasASoffitAboveTheFloor) {
    // A wedge-like underside: level floor and a strip that rises by 45 degrees (tilt 135).
    BoxModel out;
    test_models::start_body(out, "u", Role::unit);
    const auto at = [](double x, double y, double z) { return Vec3(x, y, z); };
    const double l = 4;
    // Profile in x-z, counter-clockwise seen from -y: floor, rising soffit, wall, roof, wall.
    const std::vector<std::pair<double, double>> profile{{0, 0}, {2, 0}, {3, 1}, {3, 3}, {0, 3}};
    test_models::Polygon3 front, back;
    for (std::size_t k = 0; k < profile.size(); ++k) {
        const auto [x0, z0] = profile[k];
        const auto [x1, z1] = profile[(k + 1) % profile.size()];
        front.push_back(at(x0, 0, z0));
        back.insert(back.begin(), at(x0, l, z0));
        add_face(out.model, {{at(x0, 0, z0), at(x0, l, z0), at(x1, l, z1), at(x1, 0, z1)}});
    }
    add_face(out.model, {front});
    add_face(out.model, {back});
    finish_body(out);
    EXPECT_NEAR(out.model.bodies[0].volume_m3, l * (3 * 3 - 0.5), 1e-12);  // outward faces
    const auto sides = unit_sides(planar_patches(out.model, BodyId(0)), 0);
    EXPECT_THAT(names(sides),
                ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "soffit", "floor"));
    EXPECT_NEAR(sides[5].tilt_deg, 135, 1e-9);
}

/// A prism of `depth_m` along y over a profile in x-z, counter-clockwise seen from -y. Its ends are
/// cut into upright strips.
BoxModel prism(const std::vector<std::pair<double, double>>& profile, double depth_m,
               const std::vector<test_models::Polygon3>& end_pieces) {
    BoxModel out;
    test_models::start_body(out, "u", Role::unit);
    const Vec3 back(0, depth_m, 0);
    for (std::size_t k = 0; k < profile.size(); ++k) {
        const auto [x0, z0] = profile[k];
        const auto [x1, z1] = profile[(k + 1) % profile.size()];
        const Vec3 p(x0, 0, z0), q(x1, 0, z1);
        add_face(out.model, {{p, p + back, q + back, q}});
    }
    std::vector<test_models::Polygon3> far;
    for (test_models::Polygon3 piece : end_pieces) {
        std::reverse(piece.begin(), piece.end());
        for (Vec3& corner : piece) corner += back;
        far.push_back(piece);
    }
    add_face(out.model, end_pieces);
    add_face(out.model, far);
    finish_body(out);
    return out;
}

test_models::Polygon3 upright(double x0, double z0, double x1, double z1) {
    return {{x0, 0, z0}, {x1, 0, z0}, {x1, 0, z1}, {x0, 0, z1}};
}

TEST(UnitSides, UndersideOfEavesIsASoffitAndNoFloor) {
    // A house of 6 m by 3 m whose roof, 0.3 m thick, stands out by 2 m on one side.
    const double depth = 3, w = 6, h = 2.6, t = 0.3, out = 2;
    const BoxModel house =
        prism({{0, 0}, {w, 0}, {w, h}, {w + out, h}, {w + out, h + t}, {0, h + t}}, depth,
              {upright(0, 0, w, h), upright(0, h, w + out, h + t)});
    EXPECT_NEAR(house.model.bodies[0].volume_m3, depth * (w * h + (w + out) * t), 1e-12);
    const auto sides = unit_sides(planar_patches(house.model, BodyId(0)), 0);
    EXPECT_THAT(names(sides),
                ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "soffit", "floor"));
    EXPECT_NEAR(sides[5].area_m2, depth * out, 1e-12);
    EXPECT_NEAR(sides[6].area_m2, depth * w, 1e-12);
}

TEST(UnitSides, FloorsOfTwoLevelsWithRoomsAboveAreOneFloor) {
    // The second half stands 1 m higher and is 2.6 m high itself.
    const BoxModel house = prism({{0, 0}, {3, 0}, {3, 1}, {6, 1}, {6, 3.6}, {0, 3.6}}, 3,
                                 {upright(0, 0, 3, 1), upright(0, 1, 6, 3.6)});
    const auto sides = unit_sides(planar_patches(house.model, BodyId(0)), 0);
    EXPECT_EQ(sides.back().name, "floor");
    EXPECT_NEAR(sides.back().area_m2, 18, 1e-12);
    EXPECT_EQ(sides.size(), 6u);
}

/// A dome of eight steep faces, 50 degrees, and eight flat ones, 10 degrees, about an apex that is
/// `off_m` out of the middle, on a round of eight walls.
BoxModel dome(double off_m) {
    BoxModel out;
    test_models::start_body(out, "u", Role::unit);
    const auto corner = [](int k, double radius_m, double z_m) {
        const double turn = k * std::numbers::pi / 4;
        return Vec3(radius_m * std::cos(turn), radius_m * std::sin(turn), z_m);
    };
    const double r = 3, top_r = 2, eaves = 2.5;
    const double rim = eaves + (r - top_r) * std::tan(50 * std::numbers::pi / 180);
    const Vec3 apex(-off_m, -off_m / 2, rim + top_r * std::tan(10 * std::numbers::pi / 180));
    test_models::Polygon3 floor;
    for (int k = 0; k < 8; ++k) {
        floor.insert(floor.begin(), corner(k, r, 0));
        add_face(out.model, {{corner(k, r, 0), corner(k + 1, r, 0), corner(k + 1, r, eaves),
                              corner(k, r, eaves)}});
        add_face(out.model, {{corner(k, r, eaves), corner(k + 1, r, eaves),
                              corner(k + 1, top_r, rim), corner(k, top_r, rim)}});
        add_face(out.model, {{corner(k, top_r, rim), corner(k + 1, top_r, rim), apex}});
    }
    add_face(out.model, {floor});
    finish_body(out);
    return out;
}

TEST(UnitSides, TheTopOfADomeLeansNoWay) {
    for (const double off_m : {0.0, 0.01}) {
        const auto sides = unit_sides(planar_patches(dome(off_m).model, BodyId(0)), 0);
        const auto top = std::ranges::find(sides, "roof", &Side::name);
        ASSERT_NE(top, sides.end());
        EXPECT_EQ(top->patches.size(), 8u);
        EXPECT_EQ(top->tilt_deg, 0);
        EXPECT_EQ(top->azimuth_deg, 0);
    }
}

TEST(UnitSides, ALowUnitKeepsItsFloor) {
    const auto sides = sides_of({"half", {0, 0, 0}, {6.058, 2.438, 1.295}}, 0);
    EXPECT_EQ(sides.back().name, "floor");
}

/// A box 4 m by 2 m by 2.5 m whose face on +X is profiled sheet: flats and slopes that run up.
BoxModel profiled_end(double pitch_m, double flat_m, double depth_m, int n_pitches) {
    BoxModel out;
    test_models::start_body(out, "u", Role::unit);
    const double h = 2.5, x = 4, slope = pitch_m / 2 - flat_m, width = pitch_m * n_pitches;
    std::vector<Vec3> line;  // from y = 0 to y = width along the outer side
    for (int k = 0; k < n_pitches; ++k) {
        const double y = k * pitch_m;
        line.insert(line.end(), {{x, y, 0},
                                 {x, y + flat_m, 0},
                                 {x - depth_m, y + flat_m + slope, 0},
                                 {x - depth_m, y + 2 * flat_m + slope, 0}});
    }
    line.emplace_back(x, width, 0);
    const Vec3 up(0, 0, h);
    std::vector<test_models::Polygon3> upper, lower;
    for (std::size_t k = 0; k + 1 < line.size(); ++k) {
        const Vec3 p = line[k], q = line[k + 1], p0(0, p.y(), 0), q0(0, q.y(), 0);
        add_face(out.model, {{p, q, q + up, p + up}});
        upper.push_back({p0 + up, p + up, q + up, q0 + up});
        lower.push_back({q0, q, p, p0});
    }
    add_face(out.model, upper);
    add_face(out.model, lower);
    const Vec3 o(0, 0, 0), r(0, width, 0), a = line.front(), b = line.back();
    add_face(out.model, {{o, a, a + up, o + up}});
    add_face(out.model, {{b, r, r + up, b + up}});
    add_face(out.model, {{r, o, o + up, r + up}});
    finish_body(out);
    return out;
}

/// A box with a niche of 1.2 m by 1 m in its south wall, its sill 0.9 m above the floor.
BoxModel box_with_niche(double depth_m) {
    const double x = container_m.x(), y = container_m.y(), z = container_m.z();
    const double l = 2, r = 3.2, b = 0.9, t = 1.9, d = depth_m;
    BoxModel out = box_model({});
    test_models::start_body(out, "unit", Role::unit);
    add_face(out.model, {{{0, 0, 0}, {x, 0, 0}, {x, 0, b}, {0, 0, b}},
                         {{0, 0, b}, {l, 0, b}, {l, 0, t}, {0, 0, t}},
                         {{r, 0, b}, {x, 0, b}, {x, 0, t}, {r, 0, t}},
                         {{0, 0, t}, {x, 0, t}, {x, 0, z}, {0, 0, z}}});
    add_face(out.model, {{{l, d, b}, {r, d, b}, {r, d, t}, {l, d, t}}});
    add_face(out.model, {{{l, 0, b}, {r, 0, b}, {r, d, b}, {l, d, b}}});  // sill
    add_face(out.model, {{{l, 0, t}, {l, d, t}, {r, d, t}, {r, 0, t}}});  // head
    add_face(out.model, {{{l, 0, b}, {l, d, b}, {l, d, t}, {l, 0, t}}});  // jambs
    add_face(out.model, {{{r, 0, b}, {r, 0, t}, {r, d, t}, {r, d, b}}});
    add_face(out.model, {{{0, y, 0}, {0, y, z}, {x, y, z}, {x, y, 0}}});
    add_face(out.model, {{{0, 0, 0}, {0, 0, z}, {0, y, z}, {0, y, 0}}});
    add_face(out.model, {{{x, 0, 0}, {x, y, 0}, {x, y, z}, {x, 0, z}}});
    add_face(out.model, {{{0, 0, 0}, {0, y, 0}, {x, y, 0}, {x, 0, 0}}});
    add_face(out.model, {{{0, 0, z}, {x, 0, z}, {x, y, z}, {0, y, z}}});
    finish_body(out);
    return out;
}

TEST(UnitSides, SillsAndJambsOfANicheBelongToItsWall) {
    const double x = container_m.x(), y = container_m.y(), z = container_m.z();
    for (const double depth_m : {0.02, 0.05, 0.15}) {
        const BoxModel made = box_with_niche(depth_m);
        ASSERT_NEAR(made.model.bodies[0].volume_m3, x * y * z - 1.2 * depth_m, 1e-9);
        const auto sides = unit_sides(planar_patches(made.model, BodyId(0)), 0);
        EXPECT_THAT(names(sides),
                    ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "floor"));
        EXPECT_NEAR(sides[0].area_m2, x * y, 1e-9);
        EXPECT_NEAR(sides[2].area_m2, y * z, 1e-9);
        EXPECT_NEAR(sides[3].area_m2, x * z + 2 * (1.2 + 1.0) * depth_m, 1e-9);
        EXPECT_NEAR(sides[3].tilt_deg, 90, 1e-9);
    }
    // Deeper than relief: a bay, with a roof and a soffit.
    const BoxModel bay = box_with_niche(0.6);
    const auto sides = unit_sides(planar_patches(bay.model, BodyId(0)), 0);
    EXPECT_NEAR(sides[0].area_m2, x * y + 1.2 * 0.6, 1e-9);
}

TEST(UnitSides, ProfiledSheetIsOneSideHoweverSteepItsSlopes) {
    // Wall and end-wall profiles of steel freight containers (industry specification: flats 72 mm,
    // slopes 68 mm, depth 36 mm; end walls flats 104-110 mm, slopes 20 mm, depth 45 mm).
    struct Profile {
        double flat_m, slope_m, depth_m;
    };
    for (const Profile& profile : {Profile{0.072, 0.067, 0.036}, Profile{0.107, 0.020, 0.0456}}) {
        const double pitch = 2 * (profile.flat_m + profile.slope_m);
        const BoxModel out = profiled_end(pitch, profile.flat_m, profile.depth_m, 8);
        const auto sides = unit_sides(planar_patches(out.model, BodyId(0)), 0);
        ASSERT_THAT(names(sides),
                    ElementsAre("roof", "wall-n", "wall-e", "wall-s", "wall-w", "floor"));
        const double developed =
            2 * (profile.flat_m + std::hypot(profile.slope_m, profile.depth_m)) / pitch;
        EXPECT_NEAR(sides[2].area_m2, 8 * pitch * 2.5 * developed, 1e-9);
        EXPECT_EQ(sides[2].patches.size(), 4u * 8u);
        EXPECT_NEAR(sides[2].azimuth_deg, 90, 1e-6);
        EXPECT_NEAR(sides[1].area_m2, 4 * 2.5, 1e-9);
    }
}

TEST(ShadeSides, LyingPlateHasTopEdgesAndUnderside) {
    const auto sides = sides_of({"canopy", {0, 0, 3}, {6, 3, 0.1}, 0, Role::shade}, 45);
    EXPECT_THAT(names(sides),
                ElementsAre("top", "edge-ne", "edge-se", "edge-sw", "edge-nw", "underside"));
    for (const Side& side : sides) EXPECT_EQ(side.kind, SurfaceKind::shade);
}

// A plate at 24 degrees with upright edges: 6 by 4.4 m in plan, rising by 2 m, 0.1 m high.
TEST(ShadeSides, TheFasciaOfASlopingPlateIsAnEdge) {
    BoxModel out;
    test_models::start_body(out, "canopy", Role::shade);
    const Vec3 a(0, 0, 3), b(6, 0, 3), c(6, 4.4, 5), d(0, 4.4, 5), up(0, 0, 0.1);
    add_face(out.model, {{a + up, b + up, c + up, d + up}});
    add_face(out.model, {{d, c, b, a}});
    for (const auto& [p, q] : {std::pair(a, b), std::pair(b, c), std::pair(c, d), std::pair(d, a)})
        add_face(out.model, {{p, q, q + up, p + up}});
    finish_body(out);
    const auto sides = shade_sides(planar_patches(out.model, BodyId(0)), 0);
    ASSERT_THAT(names(sides),
                ElementsAre("top", "edge-n", "edge-e", "edge-s", "edge-w", "underside"));
    EXPECT_NEAR(sides[0].area_m2, 6 * std::hypot(4.4, 2.0), 1e-9);
    EXPECT_NEAR(sides[3].area_m2, 6 * 0.1, 1e-9);
}

TEST(ShadeSides, UprightPlateHasTwoLargeSides) {
    const auto sides = sides_of({"fin", {0, 0, 0}, {0.05, 2, 3}, 0, Role::shade}, -45);
    EXPECT_THAT(names(sides),
                ElementsAre("top", "side-ne", "side-sw", "edge-se", "edge-nw", "underside"));
}

TEST(ShadeSides, CubeLies) {
    const auto sides = sides_of({"block", {0, 0, 0}, {1, 1, 1}, 17, Role::shade}, 17);
    EXPECT_THAT(names(sides),
                ElementsAre("top", "edge-n", "edge-e", "edge-s", "edge-w", "underside"));
}

}  // namespace
}  // namespace noonshell
