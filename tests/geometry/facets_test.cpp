// Cutting faces into facets: areas, counts, cell sizes.
#include "geometry/facets.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>
#include <numbers>

#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::add_face;
using test_models::box_model;
using test_models::BoxModel;
using test_models::finish_body;
using test_models::Polygon3;
using test_models::start_body;

const Vec3 container_m(6.058, 2.438, 2.591);

double total_area(const std::vector<PatchFacet>& facets) {
    double area = 0;
    for (const PatchFacet& facet : facets) area += facet.area_m2();
    return area;
}

/// A body of one level face, seen from above, made of the convex polygons given.
BoxModel level_face(const std::vector<Polygon3>& polygons, bool planar = true) {
    BoxModel out;
    start_body(out, "sheet", Role::shade);
    add_face(out.model, polygons, planar);
    finish_body(out);
    return out;
}

TEST(Patches, RectangleOfTwoTrianglesIsOneQuad) {
    const BoxModel boxes = box_model({{"u", {3, 4, 5}, container_m, 33}});
    const auto patches = planar_patches(boxes.model, BodyId(0));
    ASSERT_EQ(patches.size(), 6u);
    for (const Patch& patch : patches) {
        ASSERT_EQ(patch.outline.size(), 1u);
        EXPECT_EQ(patch.outline[0].size(), 4u);
        EXPECT_NEAR(patch.frame.u.cross(patch.frame.v).dot(patch.frame.normal), 1, 1e-14);
        // Outward: the middle of the box lies behind every face.
        const Vec3 middle = Vec3(3, 4, 5) + test_models::turned(Vec3(container_m / 2), 33);
        EXPECT_LT(patch.frame.height_m(middle), 0);
    }
}

TEST(Patches, FrameFollowsTheLongestBorderEdgeAndNotTheDiagonal) {
    const BoxModel boxes = box_model({{"u", {0, 0, 0}, container_m, 30}});
    const Vec3 along = test_models::turned({1, 0, 0}, 30);
    const auto patches = planar_patches(boxes.model, BodyId(0));
    EXPECT_NEAR(std::abs(patches[0].frame.u.dot(along)), 1, 1e-14);  // a long wall
    EXPECT_NEAR(std::abs(patches[5].frame.u.dot(along)), 1, 1e-14);  // the roof
}

TEST(Patches, CurvedFaceIsOnePatchPerPlane) {
    // A half drum of 9 strips, each of two triangles, as one curved face.
    BoxModel out;
    start_body(out, "vault", Role::shade);
    std::vector<Polygon3> strips;
    for (int k = 0; k < 9; ++k) {
        const double a = std::numbers::pi * k / 9, b = std::numbers::pi * (k + 1) / 9;
        const Vec3 p(0, std::cos(a), std::sin(a)), q(0, std::cos(b), std::sin(b));
        strips.push_back({p, p + Vec3(4, 0, 0), q + Vec3(4, 0, 0), q});
    }
    for (auto& strip : strips) std::reverse(strip.begin(), strip.end());
    add_face(out.model, strips, false);
    finish_body(out);
    const auto patches = planar_patches(out.model, BodyId(0));
    ASSERT_EQ(patches.size(), 9u);
    for (const Patch& patch : patches) EXPECT_EQ(patch.outline.size(), 1u);
}

TEST(Patches, TrianglesWithoutAreaAreLeftOut) {
    const BoxModel out = level_face(
        {{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}, {{0, 0, 0}, {0.5, 0, 0}, {1, 0, 0}}});
    const auto patches = planar_patches(out.model, BodyId(0));
    ASSERT_EQ(patches.size(), 1u);
    EXPECT_EQ(patches[0].triangles.size(), 2u);
}

TEST(Facets, ContainerWallHasThirteenEqualColumns) {
    // 6.058 m at no more than 0.5 m: 13 columns; 2.591 m: 6 rows.
    const BoxModel boxes = box_model({{"u", {0, 0, 0}, container_m, 12}});
    const auto patches = planar_patches(boxes.model, BodyId(0));
    const auto facets = cut_into_facets(patches[0], 0, 0.5);
    ASSERT_EQ(facets.size(), 13u * 6u);
    for (const PatchFacet& facet : facets) {
        ASSERT_EQ(facet.pieces.size(), 1u);
        ASSERT_EQ(facet.pieces[0].size(), 4u);
        EXPECT_NEAR(facet.area_m2(), 6.058 / 13 * 2.591 / 6, 1e-12);
        for (std::size_t k = 0; k < 4; ++k) {
            EXPECT_LE((facet.pieces[0][(k + 1) % 4] - facet.pieces[0][k]).norm(), 0.5);
        }
    }
    EXPECT_NEAR(total_area(facets), 6.058 * 2.591, 1e-9);
}

TEST(Facets, WholeNumberOfCellsGainsNoneByRounding) {
    for (const double turn : {0.0, 11.0, 29.0, 45.0, 77.0}) {
        const BoxModel boxes = box_model({{"u", {0.1, 0.2, 0.3}, {6, 2.5, 3}, turn}});
        const auto patches = planar_patches(boxes.model, BodyId(0));
        EXPECT_EQ(cut_into_facets(patches[0], 0, 0.5).size(), 12u * 6u);
        EXPECT_EQ(cut_into_facets(patches[5], 5, 0.5).size(), 12u * 5u);
    }
}

TEST(Facets, FaceSmallerThanACellIsOneFacet) {
    const BoxModel boxes = box_model({{"u", {0, 0, 0}, {0.4, 0.3, 0.2}}});
    for (const Patch& patch : planar_patches(boxes.model, BodyId(0))) {
        EXPECT_EQ(cut_into_facets(patch, 0, 0.5).size(), 1u);
    }
}

TEST(Facets, TriangularFaceKeepsItsAreaAndCentroid) {
    const BoxModel out = level_face({{{0, 0, 0}, {5, 0, 0}, {1.3, 3.1, 0}}});
    const auto patches = planar_patches(out.model, BodyId(0));
    const auto facets = cut_into_facets(patches[0], 0, 0.37);
    EXPECT_NEAR(total_area(facets), 5 * 3.1 / 2, 1e-9);
    Vec3 moment = Vec3::Zero();
    for (const PatchFacet& facet : facets) {
        EXPECT_GT(facet.area_m2(), 0);
        EXPECT_LE(facet.area_m2(), 0.37 * 0.37 + 1e-12);
        moment += facet.area_m2() * patches[0].frame.to_space(facet.centroid());
    }
    // Centroid of a triangle: the mean of its corners.
    EXPECT_NEAR((moment / (5 * 3.1 / 2) - Vec3(6.3 / 3, 3.1 / 3, 0)).norm(), 0, 1e-12);
}

TEST(Facets, OpeningInAFaceLeavesAHole) {
    // 4 m by 3 m with an opening of 1 m by 1.5 m: four rectangles round it.
    const auto rectangle = [](double x0, double y0, double x1, double y1) {
        return Polygon3{{x0, y0, 0}, {x1, y0, 0}, {x1, y1, 0}, {x0, y1, 0}};
    };
    const BoxModel out =
        level_face({rectangle(0, 0, 1, 1), rectangle(1, 0, 2, 1), rectangle(2, 0, 4, 1),
                    rectangle(0, 1, 1, 2.5), rectangle(2, 1, 4, 2.5), rectangle(0, 2.5, 1, 3),
                    rectangle(1, 2.5, 2, 3), rectangle(2, 2.5, 4, 3)});
    const auto patches = planar_patches(out.model, BodyId(0));
    ASSERT_EQ(patches.size(), 1u);
    EXPECT_EQ(patches[0].outline.size(), 4u);
    const auto facets = cut_into_facets(patches[0], 0, 0.5);
    EXPECT_NEAR(total_area(facets), 4 * 3 - 1 * 1.5, 1e-9);
    EXPECT_EQ(facets.size(), 8u * 6u - 2u * 3u);
    for (const PatchFacet& facet : facets) EXPECT_EQ(facet.pieces.size(), 1u);
}

TEST(Facets, TrianglesOfAFacetSumToItsAreaAndLieInItsPlane) {
    const BoxModel boxes = box_model({{"u", {100, -50, 7}, container_m, 57}});
    const auto patches = planar_patches(boxes.model, BodyId(0));
    FacetArrays arrays;
    for (std::uint32_t p = 0; p < patches.size(); ++p) {
        for (const PatchFacet& facet : cut_into_facets(patches[p], p, 0.7)) {
            append_facet(arrays, facet, patches[p], SurfaceId(0));
        }
    }
    ASSERT_EQ(arrays.triangle_begin.size(), arrays.size() + 1);
    for (std::size_t f = 0; f < arrays.size(); ++f) {
        EXPECT_EQ(arrays.triangle_begin[f + 1] - arrays.triangle_begin[f], 2u);
        double area = 0;
        for (std::size_t t = arrays.triangle_begin[f]; t < arrays.triangle_begin[f + 1]; ++t) {
            const auto& [a, b, c] = arrays.triangles_m[t];
            const Vec3 cross = (b - a).cross(c - a) / 2;
            area += cross.dot(arrays.normal[f]);
            EXPECT_NEAR(arrays.normal[f].dot(a - arrays.centroid_m[f]), 0, 1e-11);
            EXPECT_NEAR(cross.normalized().dot(arrays.normal[f]), 1, 1e-11);
        }
        EXPECT_NEAR(area, arrays.area_m2[f], 1e-11);
    }
}

}  // namespace
}  // namespace noonshell
