// Facets in quarters: areas, places and what they belong to.
#include "geometry/quartered_facets.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <vector>

#include "geometry/ground.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

double area_of_triangles(const FacetArrays& facets, std::size_t f) {
    double area = 0;
    for (auto t = facets.triangle_begin[f]; t < facets.triangle_begin[f + 1]; ++t) {
        const auto& [a, b, c] = facets.triangles_m[t];
        area += 0.5 * (b - a).cross(c - a).dot(facets.normal[f]);
    }
    return area;
}

PlateEnvelope two_plates() {
    PlateEnvelope plates;
    plates.add_plate("a", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 1), 2, 1);
    plates.add_plate("b", Vec3(0, 3, 1), Vec3(0, 1, 0), Vec3(1, 0, 0.5), 1, 1);
    return plates;
}

// A rectangle's quarters: a fourth of its area each, their middles a fourth of its edges from its
// own.
TEST(QuarteredFacets, AreFourthsOfACell) {
    const Envelope whole = two_plates().envelope;
    const QuarteredFacets finer = with_quartered_facets(whole, std::vector<std::uint8_t>{0, 1, 0});
    const FacetArrays& facets = finer.envelope.facets;
    ASSERT_EQ(facets.size(), 6u);
    EXPECT_EQ(finer.cut_from, (std::vector<FacetId>{FacetId(0), FacetId(1), FacetId(1), FacetId(1),
                                                    FacetId(1), FacetId(2)}));
    Vec3 middle(0, 0, 0);
    for (std::size_t f = 1; f <= 4; ++f) {
        EXPECT_NEAR(facets.area_m2[f], whole.facets.area_m2[1] / 4, 1e-12);
        EXPECT_NEAR(area_of_triangles(facets, f), facets.area_m2[f], 1e-12);
        EXPECT_LT((facets.normal[f] - whole.facets.normal[1]).norm(), 1e-12);
        const Vec3 off = facets.centroid_m[f] - whole.facets.centroid_m[1];
        EXPECT_NEAR(std::abs(off.x()), 0.25, 1e-12);
        EXPECT_NEAR(off.y(), 0, 1e-12);
        EXPECT_NEAR(std::abs(off.z()), 0.25, 1e-12);
        EXPECT_EQ(facets.surface[f], SurfaceId(0));
        middle += 0.25 * off;
    }
    EXPECT_LT(middle.norm(), 1e-12);
    EXPECT_EQ(finer.envelope.surfaces[0].n_facets, 5u);
    EXPECT_EQ(finer.envelope.surfaces[1].first_facet, 5u);
    EXPECT_EQ(finer.envelope.surfaces[1].n_facets, 1u);
}

// Ground about two boxes, one turned: cells that outlines cut keep their whole area.
TEST(QuarteredFacets, OfCutCellsAddUp) {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0), Vec3(3, 2, 2), 0, 1);
    plates.add_box("b", Vec3(5, 1, 0), Vec3(3, 2, 2), 33, 1);
    const Envelope whole = with_ground(plates.envelope, {.reach_m = 3});
    const std::vector<std::uint8_t> all(whole.facets.size(), 1);
    const QuarteredFacets finer = with_quartered_facets(whole, all);
    std::vector<double> area_m2(whole.facets.size(), 0.0);
    std::vector<Vec3> moment(whole.facets.size(), Vec3(0, 0, 0));
    const FacetArrays& facets = finer.envelope.facets;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        const std::size_t from = finer.cut_from[f].index();
        area_m2[from] += facets.area_m2[f];
        moment[from] += facets.area_m2[f] * facets.centroid_m[f];
        EXPECT_EQ(facets.surface[f], whole.facets.surface[from]);
        EXPECT_NEAR(area_of_triangles(facets, f), facets.area_m2[f], 1e-9);
    }
    for (std::size_t f = 0; f < area_m2.size(); ++f) {
        EXPECT_NEAR(area_m2[f], whole.facets.area_m2[f], 1e-9) << f;
        EXPECT_LT((moment[f] / area_m2[f] - whole.facets.centroid_m[f]).norm(), 1e-5) << f;
    }
    EXPECT_GT(facets.size(), 3 * whole.facets.size());
}

TEST(QuarteredFacets, CoveredOnesStayCovered) {
    PlateEnvelope plates = two_plates();
    plates.envelope.facets.covered[2] = 1;
    const Envelope finer =
        with_quartered_facets(plates.envelope, std::vector<std::uint8_t>{1, 0, 1}).envelope;
    EXPECT_EQ(finer.facets.covered, (std::vector<std::uint8_t>{0, 0, 0, 0, 0, 1, 1, 1, 1}));
}

TEST(QuarteredFacets, GoBackToTheBuildingWithoutTheGround) {
    PlateEnvelope plates = two_plates();
    const Envelope scenery = with_ground(plates.envelope, {.reach_m = 2});
    const std::vector<std::uint8_t> all(scenery.facets.size(), 1);
    take_facets(plates.envelope, with_quartered_facets(scenery, all).envelope);
    EXPECT_EQ(plates.envelope.facets.size(), 12u);
    EXPECT_EQ(plates.envelope.facets.triangle_begin.size(), 13u);
    EXPECT_EQ(plates.envelope.facets.triangle_begin.back(),
              plates.envelope.facets.triangles_m.size());
    EXPECT_EQ(plates.envelope.surfaces[1].first_facet, 8u);
    for (std::size_t f = 0; f < 12; ++f) {
        EXPECT_EQ(plates.envelope.facets.surface[f], SurfaceId(f < 8 ? 0 : 1));
    }
}

}  // namespace
}  // namespace noonshell
