// Surfaces in parts, and which facet holds a point: against cuts made by hand.
#include "solar/light_parts.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "geometry/ground.hpp"
#include "geometry/quartered_facets.hpp"
#include "solar/ray_scene.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

/// What every list of parts must be.
void expect_whole(const Envelope& envelope, const LightParts& parts) {
    ASSERT_EQ(parts.surface_begin.size(), envelope.surfaces.size() + 1);
    ASSERT_EQ(parts.surface_begin.back(), parts.size());
    ASSERT_EQ(parts.of_facet.size(), envelope.facets.size());
    std::vector<double> area(parts.size(), 0.0);
    for (std::size_t f = 0; f < envelope.facets.size(); ++f) {
        const PartId p = parts.of_facet[f];
        if (!p.valid()) continue;
        area[p.index()] += envelope.facets.area_m2[f];
        EXPECT_EQ(parts.surface[p.index()], envelope.facets.surface[f]);
    }
    for (std::size_t p = 0; p < parts.size(); ++p) {
        EXPECT_GT(area[p], 0) << "part " << p << " is empty";
        EXPECT_NEAR(parts.area_m2[p], area[p], 1e-12);
        const std::size_t s = parts.surface[p].index();
        EXPECT_TRUE(p >= parts.surface_begin[s] && p < parts.surface_begin[s + 1]);
        EXPECT_GE(parts.block[p], p > 0 ? parts.block[p - 1] : 0u);
    }
}

TEST(LightParts, AreEqualCellsOfTheSurface) {
    PlateEnvelope plates;
    plates.add_plate("roof", Vec3(3, -2, 3), Vec3(6, 0, 0), Vec3(0, 3, 0), 12, 6);
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(5, 0, 0), Vec3(0, 0, 2.5), 10, 5);
    const LightParts parts = light_parts(plates.envelope, 2.0);
    expect_whole(plates.envelope, parts);
    EXPECT_EQ(parts.surface_begin, (std::vector<std::uint32_t>{0, 6, 12}));  // 3 by 2 each
    for (std::size_t p = 0; p < 6; ++p) EXPECT_NEAR(parts.area_m2[p], 3, 1e-12);
    // Facets of one part lie within 2 m of each other.
    for (std::size_t f = 0; f < 72; ++f) {
        for (std::size_t g = 0; g < 72; ++g) {
            if (parts.of_facet[f] != parts.of_facet[g]) continue;
            const Vec3 apart =
                plates.envelope.facets.centroid_m[f] - plates.envelope.facets.centroid_m[g];
            EXPECT_LE(apart.cwiseAbs().maxCoeff(), 1.5 + 1e-9);
        }
    }
    const LightParts whole = light_parts(plates.envelope, std::numeric_limits<double>::infinity());
    EXPECT_EQ(whole.surface_begin, (std::vector<std::uint32_t>{0, 1, 2}));
    expect_whole(plates.envelope, whole);
}

TEST(LightParts, LeaveOutWhatTakesNoLight) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, -1), Vec3(4, 0, 0), Vec3(0, 0, 3), 4, 3);
    plates.envelope.facets.covered[5] = 1;
    const LightParts parts = light_parts(plates.envelope, 2.0);
    expect_whole(plates.envelope, parts);
    double area = 0;
    for (const double a : parts.area_m2) area += a;
    EXPECT_NEAR(area, 7, 1e-12);  // four facets below ground, one covered
    EXPECT_FALSE(parts.of_facet[5].valid());
    for (const std::size_t f : {0u, 3u, 6u, 9u}) EXPECT_FALSE(parts.of_facet[f].valid()) << f;
}

TEST(LightParts, SizesBelowTenCentimetresAreRefused) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(4, 0, 0), Vec3(0, 0, 3), 4, 3);
    for (const double size : {0.0, 0.09, -1.0, std::nan("")}) {
        EXPECT_THROW(light_parts(plates.envelope, size), InputError) << size;
    }
}

// Beside a wall a plate is cut in quarters, down to the least size; far from it it is not.
TEST(LightParts, AreFinerNearSomethingElse) {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = -9;
    plates.add_plate("roof", Vec3(0, 0, 0), Vec3(16, 0, 0), Vec3(0, 4, 0), 64, 16);
    plates.add_blocker(Vec3(0, 0, 0), Vec3(0, 4, 0), Vec3(0, 0, 3));
    const RayScene scene(plates.envelope.blockers);
    const LightParts parts = light_parts(plates.envelope, scene, {.part_m = 2.0, .least_m = 0.5});
    expect_whole(plates.envelope, parts);
    const auto area_at = [&](std::size_t column, std::size_t row) {
        return parts.area_m2[parts.of_facet[column * 16 + row].index()];
    };
    EXPECT_NEAR(area_at(0, 8), 0.25, 1e-9);  // 0.5 m by 0.5 m at the wall
    EXPECT_NEAR(area_at(63, 8), 4, 1e-9);    // 2 m by 2 m at the far end
    double before = 0;
    for (std::size_t column = 0; column < 64; ++column) {
        EXPECT_GE(area_at(column, 8), before - 1e-9) << "at column " << column;
        before = area_at(column, 8);
    }
    // As large as the parts themselves: none is split.
    EXPECT_EQ(light_parts(plates.envelope, scene, {.part_m = 2.0, .least_m = 2.0}).size(), 16u);
}

// Where facets want finer parts, parts are cut down to them and no further.
TEST(LightParts, AreAsFineAsFacetsWant) {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = -9;
    plates.add_plate("roof", Vec3(0, 0, 0), Vec3(16, 0, 0), Vec3(0, 4, 0), 64, 16);
    const RayScene scene(plates.envelope.blockers);
    std::vector<double> wanted_m(64 * 16, std::numeric_limits<double>::infinity());
    wanted_m[5 * 16 + 8] = 1.0;
    wanted_m[60 * 16 + 3] = 0.1;  // finer than facets are
    const LightParts parts = light_parts(plates.envelope, scene, {.wanted_m = wanted_m});
    expect_whole(plates.envelope, parts);
    const auto area_at = [&](std::size_t column, std::size_t row) {
        return parts.area_m2[parts.of_facet[column * 16 + row].index()];
    };
    EXPECT_NEAR(area_at(5, 8), 1, 1e-9);
    EXPECT_NEAR(area_at(60, 3), 0.0625, 1e-9);
    EXPECT_NEAR(area_at(20, 8), 4, 1e-9);
}

// A few cells of the ground in quarters, and these again: rays that end on them find them.
TEST(LightParts, FindTheFewFineCellsOfTheGround) {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0), Vec3(6, 2.4, 2.6), 0, 1);
    Envelope site = with_ground(plates.envelope, {.reach_m = 8, .finest_cell_m = 1});
    for (int round = 0; round < 3; ++round) {
        std::vector<std::uint8_t> chosen(site.facets.size(), 0);
        for (std::size_t f = 0; f < chosen.size(); ++f) {
            const bool ground = site.facets.surface[f].index() == plates.envelope.surfaces.size();
            const double away_m = (site.facets.centroid_m[f] - Vec3(3, -3, 0)).norm();
            chosen[f] = ground && away_m < 1.0 ? 1 : 0;
        }
        site = with_quartered_facets(site, chosen).envelope;
    }
    const FacetFinder finder(site);
    std::size_t fine = 0;
    for (std::size_t f = 0; f < site.facets.size(); ++f) {
        if (site.facets.surface[f].index() != plates.envelope.surfaces.size()) continue;
        if (site.facets.area_m2[f] > 0.03) continue;
        if ((site.facets.centroid_m[f] - Vec3(3, -3, 0)).norm() > 1.0) continue;
        ++fine;
        EXPECT_EQ(finder.on_ground(site.facets.centroid_m[f]), FacetId(f));
    }
    EXPECT_GT(fine, 100u);
}

// Every facet is found everywhere inside it where facets lie along the axes of their surface; on a
// level surface that is turned, itself or one beside it.
TEST(LightParts, FindTheFacetOfAPoint) {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(2, 3, 0.5), Vec3(6.058, 2.438, 2.591), 33, 0.7);
    plates.add_plate("strip", Vec3(9, 9, 9), Vec3(3, 0, 0), Vec3(0, 0.31, 0), 5, 1);
    const FacetFinder finder(plates.envelope);
    const FacetArrays& facets = plates.envelope.facets;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        const auto& t = facets.triangles_m[facets.triangle_begin[f]];
        const Vec3 u = t[1] - t[0], v = t[2] - t[1];
        for (const double x : {0.02, 0.5, 0.98}) {
            for (const double y : {0.02, 0.5, 0.98}) {
                const FacetId found = finder.at(facets.surface[f], t[0] + x * u + y * v);
                const std::string& id = plates.envelope.surfaces[facets.surface[f].index()].id;
                if (id != "a/roof" && id != "a/floor") {
                    EXPECT_EQ(found, FacetId(f)) << id << ", " << x << ", " << y;
                    continue;
                }
                ASSERT_TRUE(found.valid());
                const Vec3 apart = facets.centroid_m[found.index()] - facets.centroid_m[f];
                EXPECT_LT(apart.norm(), 1.01 * (u + v).norm()) << id;
            }
        }
    }
    EXPECT_FALSE(finder.at(SurfaceId(0u), Vec3(50, 50, 3)).valid());
}

// A covered facet is no answer: the neighbour that light reaches is.
TEST(LightParts, ACoveredFacetGivesWayToItsNeighbour) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(4, 0, 0), Vec3(0, 0, 1), 4, 1);
    plates.envelope.facets.covered[0] = 1;
    const FacetFinder finder(plates.envelope);
    EXPECT_EQ(finder.at(SurfaceId(0u), Vec3(0.9, 0, 1.5)), FacetId(1u));
    EXPECT_EQ(finder.at(SurfaceId(0u), Vec3(2.5, 0, 1.5)), FacetId(2u));
}

// Two regions share an edge, a third has a notch: each point of the ground is of the region that
// holds it, not of the one beside it.
TEST(LightParts, GroundPointsBelongToTheirOwnRegion) {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 1), Vec3(4, 2, 2), 0, 1.0);
    GroundOptions options{.reach_m = 4, .cell_m = 0.5};
    options.regions.push_back({"slab", {{-2, 1}, {2, 1}, {2, 3.5}, {-2, 3.5}}});
    options.regions.push_back({"bed", {{2, 1}, {5, 1}, {5, 4}, {4, 4}, {4, 2}, {2, 2}}});
    const Envelope site = with_ground(plates.envelope, options);
    const FacetFinder finder(site);
    std::map<std::string, std::size_t> count;
    std::size_t wrong = 0;
    for (double x = -5.97; x < 6; x += 0.1) {
        for (double y = -4.97; y < 5; y += 0.1) {
            const FacetId f = finder.on_ground(Vec3(x, y, 0));
            ASSERT_TRUE(f.valid()) << x << ", " << y;
            const bool slab = x > -2 && x < 2 && y > 1 && y < 3.5;
            const bool bed = x > 2 && x < 5 && y > 1 && y < 4 && (y < 2 || x > 4);
            const std::string own = slab ? "ground/slab" : bed ? "ground/bed" : "ground";
            const std::string found = site.surfaces[site.facets.surface[f.index()].index()].id;
            wrong += found == own ? 0 : 1;
            ++count[own];
        }
    }
    EXPECT_EQ(wrong, 0u);
    EXPECT_GT(count["ground/slab"], 900u);
    EXPECT_GT(count["ground/bed"], 400u);
    for (const Vec3& far : {Vec3(6.01, 0, 0), Vec3(0, 5.01, 0), Vec3(-6.01, 0, 0)}) {
        EXPECT_FALSE(finder.on_ground(far).valid());
    }
}

}  // namespace
}  // namespace noonshell
