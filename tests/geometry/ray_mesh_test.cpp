// The tree of boxes against a walk over all triangles, and rays through a box at known places.
#include "geometry/ray_mesh.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <optional>
#include <random>

#include "geometry/visibility.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::box_model;

std::vector<RayMesh::Triangle> random_triangles(std::mt19937& random, std::size_t n) {
    std::uniform_real_distribution<double> place(-3, 3), size(-1, 1);
    const auto vec = [&](auto& d) { return Vec3(d(random), d(random), d(random)); };
    std::vector<RayMesh::Triangle> triangles;
    for (std::size_t k = 0; k < n; ++k) {
        const Vec3 at = vec(place);
        triangles.push_back({{at, at + vec(size), at + vec(size)}, k % 2 == 0});
    }
    return triangles;
}

/// Solves the three linear equations of ray and plane as they stand.
std::optional<double> distance_by_solving(const RayMesh::Triangle& t, const Vec3& origin,
                                          const Vec3& direction) {
    const auto& [a, b, c] = t.corners_m;
    Eigen::Matrix3d matrix;
    matrix << b - a, c - a, -direction;
    if (std::abs(matrix.determinant()) < 1e-12) return std::nullopt;
    const Vec3 x = matrix.fullPivLu().solve(origin - a);
    if (x[0] < 0 || x[1] < 0 || x[0] + x[1] > 1 || x[2] <= 0) return std::nullopt;
    return x[2];
}

TEST(RayMesh, AgreesWithAWalkOverAllTriangles) {
    std::mt19937 random(3);
    const auto triangles = random_triangles(random, 300);
    const RayMesh mesh(triangles);
    std::uniform_real_distribution<double> place(-4, 4), way(-1, 1);
    std::size_t n_hits = 0;
    for (int k = 0; k < 500; ++k) {
        const Vec3 origin(place(random), place(random), place(random));
        const Vec3 direction = Vec3(way(random), way(random), way(random)).normalized();
        std::vector<double> expected;
        for (const auto& t : triangles) {
            if (const auto d = distance_by_solving(t, origin, direction)) expected.push_back(*d);
        }
        std::sort(expected.begin(), expected.end());
        const auto seen = mesh.crossings(origin, direction);
        ASSERT_EQ(seen.size(), expected.size());
        for (std::size_t i = 0; i < seen.size(); ++i) {
            EXPECT_NEAR(seen[i].distance_m, expected[i], 1e-9);
        }
        EXPECT_EQ(mesh.blocked(origin, direction, 0), !expected.empty());
        if (expected.empty()) continue;
        ++n_hits;
        EXPECT_FALSE(mesh.blocked(origin, direction, 0, expected.front() - 1e-6));
        EXPECT_FALSE(mesh.blocked(origin, direction, expected.back() + 1e-6));
    }
    EXPECT_GT(n_hits, 100u);
}

TEST(RayMesh, RaysThroughABox) {
    const auto boxes = box_model({{"wall", {0, 0, 0}, {2, 0.1, 2}}});
    const BodyId all[] = {BodyId(0)};
    const RayMesh mesh = ray_mesh_of(boxes.model, all);
    const auto hits = mesh.crossings({0.7, -1, 0.6}, {0, 1, 0});
    ASSERT_EQ(hits.size(), 2u);
    EXPECT_NEAR(hits[0].distance_m, 1.0, 1e-12);
    EXPECT_NEAR(hits[1].distance_m, 1.1, 1e-12);
    EXPECT_TRUE(hits[0].into_solid);
    EXPECT_FALSE(hits[1].into_solid);
    EXPECT_FALSE(mesh.blocked({3, -1, 0.6}, {0, 1, 0}, 0));       // a miss
    EXPECT_FALSE(mesh.blocked({0.7, 1, 0.6}, {0, 1, 0}, 0));      // behind the start
    EXPECT_TRUE(mesh.blocked({1, -1, 1}, {0, 1, 0}, 0));          // the edge of two triangles
    EXPECT_FALSE(mesh.blocked({1, -0.5, 2.0001}, {1, 0, 0}, 0));  // above the box's edge
    EXPECT_FALSE(RayMesh({}).blocked({0, 0, 0}, {1, 0, 0}, 0));
}

}  // namespace
}  // namespace noonshell
