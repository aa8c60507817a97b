// Shades built from settings, against closed forms: a plate over a plan of area A, tilted by t, has
// the sheet area A / cos t; a prism has base area times height.
#include "geometry/shade_builder.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "geometry/envelope.hpp"
#include "tests/geometry/mesh_checks.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using test_models::BoxModel;
using testing::HasSubstr;

constexpr double degree = std::numbers::pi / 180.0;
constexpr double tolerance = 1e-9;
constexpr double length = 6.058, width = 2.438, height = 2.591;  // 20 ft, ISO 668

/// Boxes with their envelope, to which shades are added.
struct Yard {
    explicit Yard(const std::vector<Box>& boxes, double north_deg = 0)
        : Yard(test_models::box_model(boxes), north_deg) {}
    explicit Yard(BoxModel from, double north_deg = 0) : made(std::move(from)) {
        options.north_deg = north_deg;
        envelope = build_envelope(made.model, made.roles, options);
    }
    BuiltShades add(const ShadeSettings& settings) {
        return add_shades(made.model, made.roles, envelope, settings);
    }
    const Body& last() const { return made.model.bodies.back(); }
    std::vector<Vec3> corners(std::size_t body) const {
        std::vector<Vec3> points;
        const Body& b = made.model.bodies[body];
        for (std::size_t f = b.first_face; f < b.first_face + b.n_faces; ++f) {
            const Face& face = made.model.faces[f];
            for (std::size_t t = 0; t < face.n_triangles; ++t) {
                for (int k = 0; k < 3; ++k)
                    points.push_back(made.model.mesh.corner(face.first_triangle + t, k));
            }
        }
        return points;
    }
    std::vector<Vec3> last_corners() const { return corners(made.model.bodies.size() - 1); }

    BoxModel made;
    EnvelopeOptions options;
    Envelope envelope;
};

Yard one_unit(double turn_deg = 0, double north_deg = 0) {
    return Yard({{"bunk-1", {0, 0, 0}, {length, width, height}, turn_deg, Role::unit}}, north_deg);
}

ShadeRoof plain_roof() {
    ShadeRoof roof;
    roof.name = "canopy";
    roof.over = {"bunk-1"};
    roof.height_m = 0.8;
    roof.thickness_m = 0.04;
    return roof;
}

double low(const std::vector<Vec3>& points, const Vec3& axis) {
    double value = std::numeric_limits<double>::infinity();
    for (const Vec3& p : points) value = std::min(value, p.dot(axis));
    return value;
}
double high(const std::vector<Vec3>& points, const Vec3& axis) {
    return -low(points, -axis);
}

void expect_box(const std::vector<Vec3>& points, const Vec3& from, const Vec3& to) {
    for (int k = 0; k < 3; ++k) {
        EXPECT_NEAR(low(points, Vec3::Unit(k)), from[k], tolerance) << k;
        EXPECT_NEAR(high(points, Vec3::Unit(k)), to[k], tolerance) << k;
    }
}

TEST(ShadeRoof, LevelRoofIsTheRectangleWidenedByItsOverhangs) {
    Yard yard = one_unit();
    ShadeRoof roof = plain_roof();
    roof.overhang_m = {0.1, 0.2, 0.3, 0.4};  // north, east, south, west
    const auto built = yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
    EXPECT_TRUE(built.warnings.empty());
    const double a = length + 0.6, b = width + 0.4, t = 0.04;
    expect_box(yard.last_corners(), {-0.4, -0.3, height + 0.8},
               {length + 0.2, width + 0.1, height + 0.8 + t});
    EXPECT_EQ(yard.last().n_faces, 6u);
    EXPECT_NEAR(yard.last().area_m2, 2 * (a * b + a * t + b * t), tolerance);
    EXPECT_NEAR(yard.last().volume_m3, a * b * t, tolerance);
    const auto sums = mesh_checks::of_body(yard.made.model, 1);
    EXPECT_NEAR(sums.volume_m3, a * b * t, tolerance);  // outward all round
    EXPECT_NEAR(sums.area_m2, yard.last().area_m2, tolerance);
    EXPECT_NEAR(yard.made.model.bbox_m[5], height + 0.8 + t, tolerance);
    EXPECT_NEAR(yard.made.model.bbox_m[0], -0.4, tolerance);
}

TEST(ShadeRoof, IsAnOrdinaryBodyWithTheRoleShade) {
    Yard yard = one_unit();
    yard.add({.roofs = {plain_roof()}, .overhangs = {}, .fins = {}});
    ASSERT_EQ(yard.made.roles.size(), 2u);
    EXPECT_EQ(yard.made.roles[1].role, Role::shade);
    EXPECT_EQ(yard.last().id, "canopy");
    EXPECT_EQ(yard.last().path, "added shades/canopy");
    EXPECT_EQ(yard.made.model.assemblies.back().name, "added shades");
    EXPECT_TRUE(yard.last().solid);
    EXPECT_NE(yard.last().part, yard.made.model.bodies[0].part);
    const Envelope again = build_envelope(yard.made.model, yard.made.roles, yard.options);
    std::vector<std::string> ids;
    for (const Surface& surface : again.surfaces) ids.push_back(surface.id);
    EXPECT_THAT(ids, testing::IsSupersetOf({"bunk-1/roof", "canopy/top", "canopy/underside"}));
}

TEST(ShadeRoof, TiltedRoofKeepsItsPlanAndItsLowestPoint) {
    for (const double tilt_deg : {5.0, 30.0, 60.0}) {
        Yard yard = one_unit();
        ShadeRoof roof = plain_roof();
        roof.overhang_m.fill(0.5);
        roof.tilt_deg = tilt_deg;
        roof.tilt_towards_deg = 180;
        yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
        const double a = length + 1, b = width + 1, t = tilt_deg * degree;
        EXPECT_NEAR(yard.last().volume_m3, a * b / std::cos(t) * 0.04, tolerance);
        EXPECT_NEAR(yard.last().area_m2, 2 * (a * b / std::cos(t) + 0.04 * (a + b / std::cos(t))),
                    1e-8);
        // Underside: south edge at y = -0.5 the lowest, north edge higher by b tan t.
        const auto points = yard.last_corners();
        EXPECT_NEAR(low(points, Vec3::UnitZ()), height + 0.8, tolerance);
        EXPECT_NEAR(high(points, Vec3::UnitZ()),
                    height + 0.8 + b * std::tan(t) + 0.04 * std::cos(t), tolerance);
        EXPECT_NEAR(low(points, Vec3::UnitX()), -0.5, tolerance);
        EXPECT_NEAR(high(points, Vec3::UnitX()), length + 0.5, tolerance);
        // The upper side is offset by the thickness across the sheet, so towards the south.
        EXPECT_NEAR(low(points, Vec3::UnitY()), -0.5 - 0.04 * std::sin(t), tolerance);
        EXPECT_NEAR(high(points, Vec3::UnitY()), width + 0.5, tolerance);
    }
}

TEST(ShadeRoof, FallsTowardsTheAzimuthThatIsAsked) {
    const double north_deg = 23, towards_deg = 235, tilt_deg = 12;
    Yard yard = one_unit(17, north_deg);
    ShadeRoof roof = plain_roof();
    roof.tilt_deg = tilt_deg;
    roof.tilt_towards_deg = towards_deg;
    yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
    // The first face is the underside: it faces down and against the fall.
    const auto p = yard.last_corners();
    const Vec3 normal = -(p[1] - p[0]).cross(p[2] - p[0]).normalized();
    EXPECT_NEAR(normal.z(), std::cos(tilt_deg * degree), tolerance);
    // Azimuth clockwise from north, +Y at azimuth 23.
    const double from_y = (towards_deg - north_deg) * degree;
    EXPECT_NEAR(normal.x(), std::sin(tilt_deg * degree) * std::sin(from_y), tolerance);
    EXPECT_NEAR(normal.y(), std::sin(tilt_deg * degree) * std::cos(from_y), tolerance);
    EXPECT_NEAR(low(p, Vec3::UnitZ()), height + 0.8, tolerance);
    EXPECT_NEAR(yard.last().volume_m3, length * width / std::cos(tilt_deg * degree) * 0.04,
                tolerance);
}

TEST(ShadeRoof, FollowsTheLongestWallOfATurnedGroup) {
    // Two units side by side, turned by 30 degrees about the origin; the longer one leads.
    const auto at = [](double x, double y) { return test_models::turned(Vec3(x, y, 0), 30); };
    Yard yard({{"bunk-1", at(0, 0), {length, width, height}, 30, Role::unit},
               {"bunk-2", at(1, 3), {9, width, height + 0.3}, 30, Role::unit},
               {"other", {50, 50, 0}, {20, 3, 9}, 0, Role::unit}});
    ShadeRoof roof = plain_roof();
    roof.over = {"bunk-*"};
    roof.overhang_m = {0.1, 0.2, 0.3, 0.4};
    yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
    const Vec3 u = test_models::turned(Vec3::UnitX(), 30),
               v = test_models::turned(Vec3::UnitY(), 30);
    const auto points = yard.last_corners();
    // +Y turned by 30 degrees is azimuth 330: still the north side.
    EXPECT_NEAR(low(points, u), -0.4, tolerance);
    EXPECT_NEAR(high(points, u), 10 + 0.2, tolerance);
    EXPECT_NEAR(low(points, v), -0.3, tolerance);
    EXPECT_NEAR(high(points, v), 3 + width + 0.1, tolerance);
    EXPECT_NEAR(low(points, Vec3::UnitZ()), height + 0.3 + 0.8, tolerance);
}

TEST(ShadeRoof, SidesAreNamedByTheCompass) {
    // +Y points to azimuth 80, so the side at -X (azimuth 350) is the north side.
    Yard yard = one_unit(0, 80);
    ShadeRoof roof = plain_roof();
    roof.overhang_m = {1, 0, 0, 0};
    yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
    expect_box(yard.last_corners(), {-1, 0, height + 0.8}, {length, width, height + 0.84});
}

TEST(ShadeRoof, SlatsRunAlongTheLongerSideFromEdgeToEdge) {
    Yard yard = one_unit();
    ShadeRoof roof = plain_roof();
    roof.overhang_m.fill(0.281);  // plan 6.62 by 3.0
    roof.slats = Slats{0.2, 0.1, std::nullopt};
    yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
    // 10 slats with 9 gaps take 2.9 of 3.0 m.
    EXPECT_EQ(yard.last().n_faces, 60u);
    EXPECT_NEAR(yard.last().volume_m3, 10 * 0.2 * 6.62 * 0.04, tolerance);
    EXPECT_NEAR(yard.last().area_m2, 10 * 2 * (0.2 * 6.62 + 0.2 * 0.04 + 6.62 * 0.04), tolerance);
    expect_box(yard.last_corners(), {-0.281, -0.281 + 0.05, height + 0.8},
               {length + 0.281, width + 0.281 - 0.05, height + 0.84});
    EXPECT_NEAR(mesh_checks::of_body(yard.made.model, 1).volume_m3, yard.last().volume_m3,
                tolerance);
}

TEST(ShadeRoof, SlantingSlatsWithoutGapsCoverTheWholeRoof) {
    // Strips at 45 degrees that fill the diagonal of a square tile it without loss.
    Yard yard({{"bunk-1", {0, 0, 0}, {4, 4, 3}, 0, Role::unit}});
    ShadeRoof roof = plain_roof();
    roof.tilt_deg = 20;
    roof.tilt_towards_deg = 100;
    roof.slats = Slats{4 * std::numbers::sqrt2 / 8, 0, 45};
    yard.add({.roofs = {roof}, .overhangs = {}, .fins = {}});
    const auto sums = mesh_checks::of_body(yard.made.model, 1);
    EXPECT_NEAR(sums.volume_m3, 16 / std::cos(20 * degree) * 0.04, tolerance);
    // The outer ones are triangles, the two in the middle have no corner cut off but their own.
    EXPECT_NEAR(low(yard.last_corners(), Vec3::UnitZ()), 3.8, tolerance);
}

Overhang plain_overhang() {
    Overhang overhang;
    overhang.name = "brow";
    overhang.walls = {"bunk-1/wall-s"};
    overhang.depth_m = 1.2;
    overhang.thickness_m = 0.06;
    return overhang;
}

TEST(Overhang, StandsAtTheTopOfTheWallInItsWidth) {
    Yard yard = one_unit();
    const auto built = yard.add({.roofs = {}, .overhangs = {plain_overhang()}, .fins = {}});
    EXPECT_TRUE(built.warnings.empty());
    expect_box(yard.last_corners(), {0, -1.2, height}, {length, 0, height + 0.06});
    EXPECT_NEAR(mesh_checks::of_body(yard.made.model, 1).volume_m3, length * 1.2 * 0.06, tolerance);
    EXPECT_EQ(yard.last().n_faces, 6u);
}

TEST(Overhang, KeepsItsSizeOffsetGapAndHeight) {
    Yard yard = one_unit();
    Overhang overhang = plain_overhang();
    overhang.width_m = 2;
    overhang.offset_m = 1;  // to the right seen from the south: east
    overhang.gap_m = 0.1;
    overhang.height_m = 2.1;
    yard.add({.roofs = {}, .overhangs = {overhang}, .fins = {}});
    const double middle = length / 2;
    expect_box(yard.last_corners(), {middle, -1.3, 2.1}, {middle + 2, -0.1, 2.16});
}

TEST(Overhang, TiltsAboutItsLowerInnerEdge) {
    Yard yard = one_unit();
    Overhang overhang = plain_overhang();
    overhang.tilt_deg = 25;
    yard.add({.roofs = {}, .overhangs = {overhang}, .fins = {}});
    const double c = std::cos(25 * degree), s = std::sin(25 * degree);
    expect_box(yard.last_corners(), {0, -(1.2 * c + 0.06 * s), height - 1.2 * s},
               {length, 0, height + 0.06 * c});
    EXPECT_NEAR(yard.last().volume_m3, length * 1.2 * 0.06, tolerance);
}

TEST(Overhang, ThatRisesDoesNotLeanIntoTheWall) {
    Yard yard = one_unit();
    Overhang overhang = plain_overhang();
    overhang.tilt_deg = -25;
    const auto built = yard.add({.roofs = {}, .overhangs = {overhang}, .fins = {}});
    EXPECT_TRUE(built.warnings.empty());
    const double c = std::cos(25 * degree), s = std::sin(25 * degree);
    expect_box(yard.last_corners(), {0, -(1.2 * c + 0.06 * s), height},
               {length, 0, height + 1.2 * s + 0.06 * c});
}

TEST(Overhang, OfATurnedWallTurnsWithIt) {
    Yard yard = one_unit(40);
    Overhang overhang = plain_overhang();
    overhang.walls = {"bunk-1/wall-*"};
    const auto built = yard.add({.roofs = {}, .overhangs = {overhang}, .fins = {}});
    ASSERT_EQ(built.bodies.size(), 4u);
    EXPECT_EQ(built.bodies[0].name, "brow-1");
    EXPECT_EQ(built.bodies[3].name, "brow-4");
    const Vec3 u = test_models::turned(Vec3::UnitX(), 40),
               v = test_models::turned(Vec3::UnitY(), 40);
    double sum = 0;
    for (std::size_t k = 1; k <= 4; ++k) {
        const auto points = yard.corners(k);
        const double du = high(points, u) - low(points, u), dv = high(points, v) - low(points, v);
        EXPECT_NEAR(std::min(du, dv), 1.2, tolerance);  // along the wall's own directions
        sum += std::max(du, dv);
    }
    EXPECT_NEAR(sum, 2 * (length + width), tolerance);
}

TEST(Fin, IsAnUprightPlateOnTheWall) {
    Yard yard = one_unit();
    Fin fin;
    fin.name = "fin";
    fin.walls = {"bunk-1/wall-s"};
    fin.depth_m = 0.5;
    fin.offset_m = -2;  // to the left: west
    fin.thickness_m = 0.06;
    fin.gap_m = 0.1;
    fin.foot_m = 0.2;
    yard.add({.roofs = {}, .overhangs = {}, .fins = {fin}});
    const double x = length / 2 - 2;
    expect_box(yard.last_corners(), {x - 0.03, -0.6, 0.2}, {x + 0.03, -0.1, height});
    EXPECT_NEAR(mesh_checks::of_body(yard.made.model, 1).volume_m3, 0.06 * 0.5 * (height - 0.2),
                tolerance);
    fin.name = "tall";
    fin.height_m = 4;
    yard.add({.roofs = {}, .overhangs = {}, .fins = {fin}});
    expect_box(yard.last_corners(), {x - 0.03, -0.6, 0.2}, {x + 0.03, -0.1, 4.2});
}

TEST(ShadeClash, NamesTheUnitAndTheDepth) {
    // A neighbour 0.9 m in front of the south wall: an overhang of 1.2 m runs 0.3 m into it.
    Yard yard({{"bunk-1", {0, 0, 0}, {length, width, height}, 0, Role::unit},
               {"store", {0, -0.9 - width, 0}, {length, width, height + 1}, 0, Role::unit}});
    const auto built = yard.add({.roofs = {}, .overhangs = {plain_overhang()}, .fins = {}});
    ASSERT_EQ(built.warnings.size(), 1u);
    EXPECT_EQ(built.warnings[0].code, "shade-in-unit");
    EXPECT_EQ(built.warnings[0].where, "brow");
    EXPECT_THAT(built.warnings[0].text, HasSubstr("0.3 m into store"));
}

TEST(ShadeClash, IsSeenWhereTheShadeLiesWhollyInside) {
    // The neighbour stands against the wall: no face of it crosses the plate.
    Yard yard({{"bunk-1", {0, 0, 0}, {length, width, height}, 0, Role::unit},
               {"store", {-1, -4, 0}, {length + 2, 4, height + 1}, 0, Role::unit}});
    const auto built = yard.add({.roofs = {}, .overhangs = {plain_overhang()}, .fins = {}});
    ASSERT_EQ(built.warnings.size(), 2u);
    EXPECT_EQ(built.warnings[0].code, "shade-on-covered-wall");
    EXPECT_THAT(built.warnings[0].text, HasSubstr("bunk-1/wall-s"));
    // The shortest way out is up, through the store's roof 1 m above the plate's underside.
    EXPECT_EQ(built.warnings[1].code, "shade-in-unit");
    EXPECT_THAT(built.warnings[1].text, HasSubstr("1 m into store"));
}

TEST(IdleShade, HangsInTheAirWhereItLeavesItsWall) {
    Yard yard({{"bunk-1", {0, 0, 0}, {length, width, height}, 0, Role::unit}});
    Overhang high = plain_overhang();
    high.height_m = height + 0.5;
    const auto built = yard.add({.roofs = {}, .overhangs = {high}, .fins = {}});
    ASSERT_EQ(built.warnings.size(), 1u);
    EXPECT_EQ(built.warnings[0].code, "shade-in-the-air");
    EXPECT_THAT(built.warnings[0].text, HasSubstr("hangs 0.5 m off bunk-1/wall-s"));
    Yard sound({{"bunk-1", {0, 0, 0}, {length, width, height}, 0, Role::unit}});
    EXPECT_TRUE(
        sound.add({.roofs = {}, .overhangs = {plain_overhang()}, .fins = {}}).warnings.empty());
}

TEST(ShadeClash, TouchingAndReentrantCornersAreNone) {
    Yard beside({{"bunk-1", {0, 0, 0}, {length, width, height}, 0, Role::unit},
                 {"store", {0, -1.2 - width, 0}, {length, width, height + 1}, 0, Role::unit}});
    EXPECT_TRUE(
        beside.add({.roofs = {}, .overhangs = {plain_overhang()}, .fins = {}}).warnings.empty());
    // An L-shaped room whose bounding box holds the shade, in the corner of the L. The prism's plan
    // is not convex, so it is made of its own faces.
    BoxModel bent;
    test_models::start_body(bent, "bunk-1", Role::unit);
    const test_models::Polygon3 plan{{0, 0, 0}, {6, 0, 0}, {6, 3, 0},
                                     {3, 3, 0}, {3, 6, 0}, {0, 6, 0}};
    const Vec3 up(0, 0, 3);
    for (std::size_t k = 0; k < plan.size(); ++k) {
        const Vec3 &p = plan[k], &q = plan[(k + 1) % plan.size()];
        test_models::add_face(bent.model, {{p, q, q + up, p + up}});
    }
    const std::vector<test_models::Polygon3> halves{{plan[0], plan[1], plan[2], plan[3]},
                                                    {plan[0], plan[3], plan[4], plan[5]}};
    std::vector<test_models::Polygon3> floor, roof;
    for (const auto& half : halves) {
        floor.emplace_back(half.rbegin(), half.rend());
        roof.push_back(half);
        for (Vec3& p : roof.back()) p += up;
    }
    test_models::add_face(bent.model, floor);
    test_models::add_face(bent.model, roof);
    test_models::finish_body(bent);
    ASSERT_NEAR(bent.model.bodies[0].volume_m3, 81, tolerance);
    Yard yard(std::move(bent));
    Fin fin;
    fin.name = "fin";
    fin.walls = {"bunk-1/wall-n"};
    fin.offset_m = 1;
    fin.height_m = 2;
    const auto shades = yard.add({.roofs = {}, .overhangs = {}, .fins = {fin}});
    for (const Warning& warning : shades.warnings) ADD_FAILURE() << warning.text;
}

struct BadShade {
    const char* name;
    std::function<void(ShadeSettings&)> spoil;
    const char* entity;
    const char* expected;
    const char* seen;
};

class RefusedShade : public testing::TestWithParam<BadShade> {};

TEST_P(RefusedShade, IsNamed) {
    Yard yard = one_unit();
    ShadeSettings settings;
    settings.roofs = {plain_roof()};
    settings.roofs[0].slats = Slats{};
    settings.overhangs = {plain_overhang()};
    Fin fin;
    fin.name = "fin";
    fin.walls = {"*/wall-s"};
    settings.fins = {fin};
    EXPECT_NO_THROW(build_shades(yard.made.model, yard.envelope, settings));
    GetParam().spoil(settings);
    try {
        build_shades(yard.made.model, yard.envelope, settings);
        FAIL() << "accepted";
    } catch (const InputError& error) {
        EXPECT_THAT(error.place().entity, HasSubstr(GetParam().entity));
        EXPECT_THAT(error.expected(), HasSubstr(GetParam().expected));
        EXPECT_THAT(error.seen(), HasSubstr(GetParam().seen));
    }
}

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double inf = std::numeric_limits<double>::infinity();

INSTANTIATE_TEST_SUITE_P(
    Settings, RefusedShade,
    testing::Values(
        BadShade{"no_unit",
                 [](auto& s) {
                     s.roofs[0].over = {"bunk-1", "shed*"};
                 },
                 "canopy", "units", "shed*"},
        BadShade{"no_pattern", [](auto& s) { s.roofs[0].over.clear(); }, "over", "units", "none"},
        BadShade{"roof_as_wall", [](auto& s) { s.overhangs[0].walls = {"*/roof"}; }, "brow",
                 "walls", "*/roof"},
        BadShade{"no_wall", [](auto& s) { s.fins[0].walls = {"x"}; }, "fin", "walls", "\"x\""},
        BadShade{"height", [](auto& s) { s.roofs[0].height_m = -0.1; }, "height_m", "from 0",
                 "-0.1"},
        BadShade{"overhang", [](auto& s) { s.roofs[0].overhang_m[2] = nan; }, "overhang_m",
                 "from 0", "nan"},
        BadShade{"steep", [](auto& s) { s.roofs[0].tilt_deg = 61; }, "tilt_deg", "60", "61"},
        BadShade{"rising_roof", [](auto& s) { s.roofs[0].tilt_deg = -1; }, "tilt_deg", "0 to 60",
                 "-1"},
        BadShade{"towards", [](auto& s) { s.roofs[0].tilt_towards_deg = inf; }, "tilt_towards_deg",
                 "finite", "inf"},
        BadShade{"flat", [](auto& s) { s.roofs[0].thickness_m = 0; }, "thickness_m", "above 0",
                 "0"},
        BadShade{"slat", [](auto& s) { s.roofs[0].slats->width_m = 0; }, "slat_width_m", "above 0",
                 "0"},
        BadShade{"slat_gap", [](auto& s) { s.roofs[0].slats->gap_m = -1; }, "slat_gap_m", "from 0",
                 "-1"},
        BadShade{"wide_slat", [](auto& s) { s.roofs[0].slats->width_m = 5; }, "slat_width_m",
                 "no wider", "5"},
        BadShade{"fine_slats",
                 [](auto& s) {
                     s.roofs[0].slats = Slats{0.0005, 0.0005, std::nullopt};
                 },
                 "slat_width_m", "2000", "2438"},
        BadShade{"depth", [](auto& s) { s.overhangs[0].depth_m = -1; }, "depth_m", "above 0", "-1"},
        BadShade{"width", [](auto& s) { s.overhangs[0].width_m = 0; }, "width_m", "above 0", "0"},
        BadShade{"gap", [](auto& s) { s.overhangs[0].gap_m = -0.1; }, "gap_m", "from 0", "-0.1"},
        BadShade{"tilt_down", [](auto& s) { s.overhangs[0].tilt_deg = 60.5; }, "tilt_deg",
                 "-60 to 60", "60.5"},
        BadShade{"tilt_nan", [](auto& s) { s.overhangs[0].tilt_deg = nan; }, "tilt_deg",
                 "-60 to 60", "nan"},
        BadShade{"fin_depth", [](auto& s) { s.fins[0].depth_m = inf; }, "depth_m", "above 0",
                 "inf"},
        BadShade{"fin_foot", [](auto& s) { s.fins[0].foot_m = 3; }, "foot_m", "below the top",
                 "above"},
        BadShade{"same_name", [](auto& s) { s.fins[0].name = "brow"; }, "name", "not used",
                 "brow"}),
    [](const testing::TestParamInfo<BadShade>& bad) { return std::string(bad.param.name); });

}  // namespace
}  // namespace noonshell
