// Context bodies as surfaces: areas of a box by its edges, what is the ground, open shells, and
// facets that grow with the distance.
#include "geometry/context.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>

#include "geometry/ground.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

/// A unit of 4 x 3 x 2.5 m with its lower corner at the origin, on the ground plane z = 0.
PlateEnvelope hut() {
    PlateEnvelope plates;
    plates.add_box("hut", Vec3(2, 1.5, 0), Vec3(4, 3, 2.5), 0, 0.5);
    return plates;
}

/// A context box by six outward rectangles.
void add_neighbour(PlateEnvelope& plates, const Vec3& low, const Vec3& size) {
    const Vec3 x(size.x(), 0, 0), y(0, size.y(), 0), z(0, 0, size.z());
    plates.add_blocker(low + z, x, y);
    plates.add_blocker(low, y, x);
    plates.add_blocker(low, x, z);
    plates.add_blocker(low + x, y, z);
    plates.add_blocker(low + x + y, -x, z);
    plates.add_blocker(low + y, -y, z);
}

struct Sum {
    double area_m2 = 0, facets_m2 = 0;
    std::size_t n_facets = 0, n_surfaces = 0;
};

Sum context_of(const Envelope& envelope) {
    Sum sum;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        if (surface.kind != SurfaceKind::context) continue;
        ++sum.n_surfaces;
        sum.area_m2 += surface.area_m2;
        sum.n_facets += surface.n_facets;
        for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            sum.facets_m2 += envelope.facets.area_m2[f];
            EXPECT_EQ(envelope.facets.surface[f], SurfaceId(s));
            EXPECT_GT(envelope.facets.normal[f].dot(surface.normal), 1 - 1e-9);
        }
    }
    return sum;
}

TEST(Context, ABoxIsFiveSurfacesAndItsBaseTheGround) {
    PlateEnvelope plates = hut();
    add_neighbour(plates, Vec3(10, 0, 0), Vec3(6, 5, 4));
    const Envelope site = with_context(plates.envelope);
    const Sum sum = context_of(site);
    EXPECT_EQ(sum.n_surfaces, 5u);
    EXPECT_NEAR(sum.area_m2, 6 * 5 + 2 * (6 + 5) * 4, 1e-9);
    EXPECT_NEAR(sum.facets_m2, sum.area_m2, 1e-9);
    // Gauss: the outward areas of box and base together are a closed surface.
    Vec3 outward = Vec3(0, 0, -30);
    for (const Surface& surface : site.surfaces) {
        if (surface.kind != SurfaceKind::context) continue;
        outward += surface.area_m2 * surface.normal;
        EXPECT_FALSE(surface.other_side.valid()) << surface.id;
        EXPECT_FALSE(surface.unit.valid());
    }
    EXPECT_LT(outward.norm(), 1e-9);
    EXPECT_EQ(n_building_surfaces(site), 6u);
    EXPECT_EQ(n_building_surfaces(with_ground(site)), 6u);
    EXPECT_EQ(with_ground(site).surfaces.back().kind, SurfaceKind::ground);
    EXPECT_TRUE(site.warnings.empty());
    // The blockers are those of the surfaces, all but the two triangles of the base.
    std::map<std::string, int> triangles;
    for (const SurfaceId surface : site.triangle_surface)
        ++triangles[surface.valid() ? site.surfaces[surface.index()].id : "none"];
    EXPECT_EQ(triangles["none"], 2);
    EXPECT_EQ(triangles["context/3"], 2);
}

TEST(Context, ASlabFlushWithTheGroundStaysTheGround) {
    PlateEnvelope plates = hut();
    add_neighbour(plates, Vec3(-20, -20, -0.3), Vec3(50, 50, 0.3));
    EXPECT_EQ(with_context(plates.envelope).surfaces.size(), 6u);
    EXPECT_EQ(with_context(hut().envelope).surfaces.size(), 6u);
}

TEST(Context, AnOpenShellHasTwoSides) {
    PlateEnvelope plates = hut();
    plates.add_blocker(Vec3(0, 8, 0), Vec3(4, 0, 0), Vec3(0, 0, 3));
    const Envelope site = with_context(plates.envelope);
    ASSERT_EQ(site.surfaces.size(), 8u);
    const Surface &front = site.surfaces[6], &back = site.surfaces[7];
    EXPECT_EQ(front.other_side, SurfaceId(7));
    EXPECT_EQ(back.other_side, SurfaceId(6));
    EXPECT_NEAR(front.area_m2, 12, 1e-9);
    EXPECT_NEAR(back.area_m2, 12, 1e-9);
    EXPECT_LT((front.normal + back.normal).norm(), 1e-12);
    EXPECT_LT((front.centroid_m - back.centroid_m).norm(), 1e-9);
    EXPECT_NEAR(front.azimuth_deg, 180, 1e-6);
    EXPECT_NEAR(back.azimuth_deg, 0, 1e-6);
}

TEST(Context, FacetsGrowWithTheDistanceAndAreFewEnough) {
    const auto largest_edge_m = [](double distance_m, std::size_t most_cells) {
        PlateEnvelope plates = hut();
        plates.add_blocker(Vec3(-50, 3 + distance_m, 0), Vec3(100, 0, 0), Vec3(0, 0, 50));
        const Envelope site = with_context(plates.envelope, {.most_cells = most_cells});
        double largest_m2 = 0;
        for (std::size_t f = 0; f < site.facets.size(); ++f) {
            if (site.facets.surface[f].index() >= 6)
                largest_m2 = std::max(largest_m2, site.facets.area_m2[f]);
        }
        return std::sqrt(largest_m2);
    };
    EXPECT_NEAR(largest_edge_m(1, 100'000), 1, 1e-9);
    EXPECT_NEAR(largest_edge_m(40, 100'000), 5, 1e-9);
    // 2 x 5000 m2 in 1000 cells.
    EXPECT_NEAR(largest_edge_m(1, 1000), std::sqrt(10), 0.1);
}

TEST(Context, TellsOfFacesThatAreLeftOut) {
    PlateEnvelope plates = hut();
    add_neighbour(plates, Vec3(10, 0, 0), Vec3(6, 5, 4));
    const Envelope site = with_context(plates.envelope, {.most_planes = 4});
    // The largest: roof 30, two walls of 24, the first of 20; another 20 of 118 is left out.
    EXPECT_EQ(site.surfaces.size(), 10u);
    ASSERT_EQ(site.warnings.size(), 1u);
    EXPECT_EQ(site.warnings[0].code, "context-in-small-faces");
    EXPECT_EQ(site.warnings[0].text,
              "of 5 plane faces of context bodies only the largest 4 throw light; the others are "
              "17 % of their area");
}

}  // namespace
}  // namespace noonshell
