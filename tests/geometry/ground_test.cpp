// The ground about a building, against areas worked out by hand.
#include "geometry/ground.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <string>

#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using namespace test_models;

Envelope built(const std::vector<Box>& boxes, double ground_z_m = 0) {
    const BoxModel model = box_model(boxes);
    EnvelopeOptions options;
    options.ground_z_m = ground_z_m;
    options.facet_size_m = 2;
    return build_envelope(model.model, model.roles, options);
}

/// Area by id of the surfaces of kind ground.
std::map<std::string, double> ground_areas(const Envelope& envelope) {
    std::map<std::string, double> areas;
    for (const Surface& surface : envelope.surfaces) {
        if (surface.kind == SurfaceKind::ground) areas[surface.id] = surface.area_m2;
    }
    return areas;
}

/// Area of ground facets whose middle lies within a rectangle.
double area_within(const Envelope& envelope, const Vec2& low, const Vec2& high) {
    double area = 0;
    for (std::size_t f = 0; f < envelope.facets.size(); ++f) {
        const Vec3& p = envelope.facets.centroid_m[f];
        const SurfaceId s = envelope.facets.surface[f];
        if (envelope.surfaces[s.index()].kind != SurfaceKind::ground) continue;
        if (p.x() > low.x() && p.y() > low.y() && p.x() < high.x() && p.y() < high.y()) {
            area += envelope.facets.area_m2[f];
        }
    }
    return area;
}

TEST(Ground, IsTheRectangleWithoutWhatStandsOnIt) {
    // A turned box and a straight one: extents 6 cos 30 + 2.4 sin 30 and so on.
    const Envelope building = built({{"a", {0, 0, 0}, {6, 2.4, 2.6}, 30, Role::unit},
                                     {"b", {10, 1, 0}, {6, 2.4, 2.6}, 0, Role::unit}});
    const Envelope site = with_ground(building, {.reach_m = 5, .cell_m = 0.8});
    const double c = std::cos(30 * std::numbers::pi / 180), s = 0.5;
    const double width = 16 + 2.4 * s + 10, depth = 6 * s + 2.4 * c + 10;  // b: x 10..16, y 1..3.4
    ASSERT_EQ(ground_areas(site).size(), 1u);
    EXPECT_NEAR(ground_areas(site)["ground"], width * depth - 2 * 6 * 2.4, 1e-4);
}

TEST(Ground, StandsAtTheEndOfTheSurfacesAndStopsNoRay) {
    const Envelope building = built({{"a", {0, 0, 0}, {6, 2.4, 2.6}, 0, Role::unit}}, -0.02);
    const Envelope site = with_ground(building);
    EXPECT_EQ(n_building_surfaces(building), building.surfaces.size());
    EXPECT_EQ(n_building_surfaces(site), building.surfaces.size());
    EXPECT_EQ(site.blockers.triangles.size(), building.blockers.triangles.size());
    const Surface& ground = site.surfaces.back();
    EXPECT_EQ(ground.first_facet, building.facets.size());
    EXPECT_EQ(ground.first_facet + ground.n_facets, site.facets.size());
    EXPECT_EQ(ground.normal, Vec3::UnitZ());
    EXPECT_EQ(ground.tilt_deg, 0);
    double area = 0;
    for (auto f = ground.first_facet; f < site.facets.size(); ++f) {
        EXPECT_DOUBLE_EQ(site.facets.centroid_m[f].z(), -0.02);
        EXPECT_EQ(site.facets.normal[f], Vec3::UnitZ());
        EXPECT_EQ(site.facets.covered[f], 0);
        EXPECT_LE(site.facets.area_m2[f], 1.0 + 1e-9);  // cells of at most 1 m
        area += site.facets.area_m2[f];
    }
    EXPECT_NEAR(area, ground.area_m2, 1e-9);
    EXPECT_DOUBLE_EQ(ground.area_m2, ground.exposed_area_m2);
    // Twice the height on every side: 2 * 2.62 m (the plane lies 2 cm below the box).
    const double reach = 2 * 2.62;
    EXPECT_NEAR(ground.area_m2, (6 + 2 * reach) * (2.4 + 2 * reach) - 6 * 2.4, 1e-3);
}

TEST(Ground, ReachIsAtLeastFourAndAtMostTwentyFiveMetres) {
    const auto area = [](double height) {
        return with_ground(built({{"a", {0, 0, 0}, {3, 3, height}, 0, Role::unit}}))
            .surfaces.back()
            .area_m2;
    };
    EXPECT_NEAR(area(1), 11 * 11 - 9, 1e-3);
    EXPECT_NEAR(area(40), 53 * 53 - 9, 1e-2);
}

TEST(Ground, LiesUnderAUnitOnPiersAndNotUnderOneThatRests) {
    const Vec3 size(6, 2.4, 2.6);
    const Envelope building = built({{"rests", {0, 0, 0.05}, size, 0, Role::unit},
                                     {"on-piers", {0, 10, 0.5}, size, 0, Role::unit}});
    const Envelope site = with_ground(building, {.reach_m = 4, .cell_m = 0.5});
    EXPECT_EQ(area_within(site, {0, 0}, {6, 2.4}), 0);
    EXPECT_NEAR(area_within(site, {0, 10}, {6, 12.4}), 6 * 2.4, 0.8);  // cells across the rim
    EXPECT_NEAR(ground_areas(site)["ground"], 14 * 20.4 - 6 * 2.4, 1e-4);
    // With a gap of 2 cm nothing touches the ground.
    const Envelope apart = with_ground(building, {.reach_m = 4, .cell_m = 0.5}, 0.02);
    EXPECT_NEAR(ground_areas(apart)["ground"], 14 * 20.4, 1e-4);
}

TEST(Ground, RegionsTakeTheirPartAndTheFirstOneHolds) {
    const Envelope building = built({{"a", {0, 0, 0}, {6, 2.4, 2.6}, 0, Role::unit}});
    GroundOptions options{.reach_m = 4, .cell_m = 0.7};  // x -4..10, y -4..6.4
    // A strip before the unit, partly below it and partly beyond the reach, clockwise.
    options.regions.push_back({"slab", {{-1, 1}, {7, 1}, {7, -6}, {-1, -6}}});
    // Not convex, and over the slab for 1 m by 1 m.
    options.regions.push_back({"bed", {{6, 0}, {9, 0}, {9, 3}, {8, 3}, {8, 1}, {6, 1}}});
    options.regions.push_back({"far", {{50, 50}, {60, 50}, {60, 60}}});
    const Envelope site = with_ground(building, options);
    auto areas = ground_areas(site);
    const double slab = 8 * 5 - 6 * 1, bed = 3 * 1 + 1 * 2 - 1 * 1;
    EXPECT_NEAR(areas["ground/slab"], slab, 1e-4);
    EXPECT_NEAR(areas["ground/bed"], bed, 1e-4);
    EXPECT_EQ(areas.count("ground/far"), 0u);
    EXPECT_NEAR(areas["ground"], 14 * 10.4 - 6 * 2.4 - slab - bed, 1e-4);
    EXPECT_EQ(site.surfaces.back().id, "ground");
    EXPECT_EQ(site.surfaces[n_building_surfaces(site)].id, "ground/slab");
}

TEST(Ground, CellsGrowWhereThereWouldBeTooMany) {
    const Envelope building = built({{"a", {0, 0, 0}, {6, 2.4, 2.6}, 0, Role::unit}});
    const Envelope few = with_ground(building, {.reach_m = 20, .cell_m = 0.2, .most_cells = 500});
    const std::size_t cells = few.facets.size() - building.facets.size();
    EXPECT_LE(cells, 600u);  // whole rows and columns, and rims
    EXPECT_GE(cells, 300u);
    EXPECT_NEAR(ground_areas(few)["ground"], 46 * 42.4 - 14.4, 1e-4);
}

TEST(Ground, NothingIsAddedWhereNothingStands) {
    Envelope empty;
    EXPECT_TRUE(with_ground(empty).surfaces.empty());
}

TEST(Ground, OptionsOutOfRangeAreRefused) {
    const Envelope building = built({{"a", {0, 0, 0}, {6, 2.4, 2.6}, 0, Role::unit}});
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    constexpr double infinite = std::numeric_limits<double>::infinity();
    for (const double cell_m : {0.0, -1.0, 0.04, 101.0, nan, infinite}) {
        EXPECT_THROW(with_ground(building, {.cell_m = cell_m}), InputError) << cell_m;
    }
    for (const double reach_m : {nan, infinite, 1e7}) {
        EXPECT_THROW(with_ground(building, {.reach_m = reach_m}), InputError) << reach_m;
    }
    EXPECT_THROW(with_ground(building, {.most_cells = 0}), InputError);
    const auto with_region = [&](std::vector<Vec2> outline) {
        GroundOptions options;
        options.regions.push_back({"bed", std::move(outline)});
        return with_ground(building, options);
    };
    EXPECT_THROW(with_region({{0, 0}, {1, 0}}), InputError);
    EXPECT_THROW(with_region({{0, 0}, {1, 0}, {2, 0}}), InputError);
    EXPECT_THROW(with_region({{0, 0}, {1, 0}, {nan, 2}}), InputError);
    try {
        with_region({});
        FAIL() << "no outline was taken";
    } catch (const InputError& error) {
        EXPECT_NE(std::string(error.what()).find("bed"), std::string::npos) << error.what();
    }
}

}  // namespace
}  // namespace noonshell
