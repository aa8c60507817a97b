#include "solar/ray_scene.hpp"

#include <gtest/gtest.h>
#include <xmmintrin.h>

#include <array>
#include <cmath>
#include <numbers>
#include <random>

#include "geometry/diagnostics.hpp"
#include "tests/support/exact_rays.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

/// Rays may differ from the exact answer only where they pass an edge this closely.
constexpr double edge_m = 1e-4;

struct Rays {
    std::vector<Vec3> origin, direction;

    void add(const Vec3& o, const Vec3& d) {
        origin.push_back(o);
        direction.push_back(d.normalized());
    }
};

void add_triangle(TriangleMesh& mesh, const Vec3& a, const Vec3& b, const Vec3& c) {
    const auto base = static_cast<std::uint32_t>(mesh.vertices_m.size());
    mesh.vertices_m.insert(mesh.vertices_m.end(), {a, b, c});
    mesh.triangles.push_back({base, base + 1, base + 2});
    mesh.triangle_face.push_back(FaceId(mesh.triangle_face.size()));
}

void add_rectangle(TriangleMesh& mesh, const Vec3& corner, const Vec3& u, const Vec3& v) {
    add_triangle(mesh, corner, corner + u, corner + u + v);
    add_triangle(mesh, corner, corner + u + v, corner + v);
}

/// The faces of a box as corner, edge u, edge v with u x v outward.
using Rectangle = std::array<Vec3, 3>;
std::array<Rectangle, 6> box_faces(const Vec3& low, const Vec3& size) {
    const Vec3 x(size.x(), 0, 0), y(0, size.y(), 0), z(0, 0, size.z());
    return {Rectangle{low + z, x, y}, {low, y, x}, {low, x, z},
            {low + y, z, x},          {low, z, y}, {low + x, y, z}};
}

void add_box(TriangleMesh& mesh, const Vec3& low, const Vec3& size) {
    for (const auto& [corner, u, v] : box_faces(low, size)) add_rectangle(mesh, corner, u, v);
}

Vec3 sun(double azimuth_deg, double elevation_deg) {
    const double azimuth = azimuth_deg * degree, elevation = elevation_deg * degree;
    return {std::sin(azimuth) * std::cos(elevation), std::cos(azimuth) * std::cos(elevation),
            std::sin(elevation)};
}

std::vector<std::uint8_t> shadows(const RayScene& scene, const std::vector<Vec3>& points,
                                  const Vec3& direction) {
    std::vector<std::uint8_t> blocked(points.size());
    scene.shadow(scene.origins(points), 0, points.size(), direction, blocked.data());
    return blocked;
}

/// Points just off a rectangle: inside it, and as near as `near_m` to its edges and corners.
std::vector<Vec3> points_on(const Rectangle& rectangle, double near_m, int inside,
                            std::mt19937& random) {
    const Vec3 &corner = rectangle[0], &u = rectangle[1], &v = rectangle[2];
    const Vec3 normal = u.cross(v).normalized();
    std::uniform_real_distribution<double> uniform(0.001, 0.999);
    std::vector<Vec3> points;
    const auto add = [&](double a, double b) {
        points.push_back(corner + a * u + b * v + ray_offset_m * normal);
    };
    for (int i = 0; i < inside; ++i) add(uniform(random), uniform(random));
    const double nu = near_m / u.norm(), nv = near_m / v.norm();
    for (const double a : {nu, 0.5, 1 - nu}) {
        for (const double b : {nv, 0.5, 1 - nv}) add(a, b);
    }
    return points;
}

/// Counts the rays whose answer differs from the exact one although no edge is near.
struct Comparison {
    int rays = 0, blocked = 0, near_edge = 0, wrong = 0;
};

void compare_shadows(Comparison& result, const TriangleMesh& mesh, const RayScene& scene,
                     const std::vector<Vec3>& points, const Vec3& direction) {
    const auto blocked = shadows(scene, points, direction);
    for (std::size_t i = 0; i < points.size(); ++i) {
        const bool expected = exact_rays::first_hit(mesh, points[i], direction).found();
        ++result.rays;
        result.blocked += expected ? 1 : 0;
        if (expected == (blocked[i] != 0)) continue;
        if (exact_rays::distance_to_nearest_edge(mesh, points[i], direction) < edge_m) {
            ++result.near_edge;
        } else {
            ++result.wrong;
        }
    }
}

TEST(RayScene, NothingInTheWayOfAnEmptyScene) {
    const RayScene scene{TriangleMesh{}};
    const std::vector<Vec3> points(11, Vec3(1, 2, 3));
    for (const auto blocked : shadows(scene, points, Vec3(0, 0, 1))) EXPECT_EQ(blocked, 0);
    std::vector<RayHit> hits(points.size(), RayHit{0, 1});
    scene.first_hits(points, points, hits);
    for (const RayHit& hit : hits) EXPECT_EQ(hit.triangle, RayHit::nothing);
}

TEST(RayScene, AMeshThatNamesAMissingVertexIsRefused) {
    TriangleMesh mesh;
    add_rectangle(mesh, Vec3(0, 0, 0), Vec3(1, 0, 0), Vec3(0, 1, 0));
    mesh.triangles[1][2] = 99;
    EXPECT_THROW(RayScene{mesh}, InvariantError);
    mesh.triangles[1][2] = 0;
    mesh.vertices_m[0].x() = std::numeric_limits<double>::quiet_NaN();
    EXPECT_THROW(RayScene{mesh}, InvariantError);
}

TEST(RayScene, EveryLengthOfTailIsAnswered) {
    TriangleMesh mesh;
    add_rectangle(mesh, Vec3(0, -1, 2), Vec3(10, 0, 0), Vec3(0, 2, 0));
    const RayScene scene(mesh);
    std::vector<Vec3> points;
    for (int i = 0; i < 40; ++i) points.emplace_back(0.5 * i + 0.25, 0, 0);  // 20 below, 20 beside
    const RayOrigins origins = scene.origins(points);
    for (std::size_t begin = 0; begin < 17; ++begin) {
        for (std::size_t count = 0; begin + count <= points.size(); ++count) {
            std::vector<std::uint8_t> blocked(count + 1, 7);
            scene.shadow(origins, begin, count, Vec3(0, 0, 1), blocked.data());
            for (std::size_t i = 0; i < count; ++i) ASSERT_EQ(blocked[i], begin + i < 20 ? 1 : 0);
            ASSERT_EQ(blocked[count], 7) << "wrote past the end";
        }
    }
}

TEST(RayScene, FloatingPointModeIsLeftAsFound) {
    TriangleMesh mesh;
    add_rectangle(mesh, Vec3(0, 0, 0), Vec3(1, 0, 0), Vec3(0, 1, 0));
    const unsigned before = _mm_getcsr();
    const RayScene scene(mesh);
    const std::vector<Vec3> points(3, Vec3(0.5, 0.5, -1)), up(3, Vec3(0, 0, 1));
    std::vector<RayHit> hits(3);
    shadows(scene, points, Vec3(0, 0, 1));
    scene.first_hits(points, up, hits);
    constexpr unsigned control_bits =
        0xFFC0u;  // masks, rounding, flush-to-zero, denormals-are-zero
    EXPECT_EQ(_mm_getcsr() & control_bits, before & control_bits);
    volatile double tiny = std::numeric_limits<double>::min();
    EXPECT_GT(tiny / 4, 0.0) << "denormals are still flushed";
}

TEST(RayScene, RandomTrianglesAndRaysAgreeWithDoublePrecision) {
    std::mt19937 random(20240621);
    std::uniform_real_distribution<double> place(-20, 20), size(-4, 4), unit(-1, 1);
    const auto point = [&](auto& range) {
        return Vec3(range(random), range(random), range(random));
    };
    TriangleMesh mesh;
    for (int i = 0; i < 200; ++i) {
        const Vec3 a = point(place);
        add_triangle(mesh, a, a + point(size), a + point(size));
    }
    const RayScene scene(mesh);
    Rays rays;
    for (int i = 0; i < 20000; ++i) rays.add(point(place), point(unit));
    std::vector<RayHit> hits(rays.origin.size());
    scene.first_hits(rays.origin, rays.direction, hits);
    int found = 0, wrong = 0;
    for (std::size_t i = 0; i < hits.size(); ++i) {
        const auto exact = exact_rays::first_hit(mesh, rays.origin[i], rays.direction[i]);
        found += exact.found() ? 1 : 0;
        const bool same_triangle =
            hits[i].triangle == (exact.found() ? exact.triangle : RayHit::nothing);
        const bool same = same_triangle && (!exact.found() ||
                                            std::abs(hits[i].distance_m - exact.distance_m) < 1e-3);
        if (same) continue;
        const double near =
            exact_rays::distance_to_nearest_edge(mesh, rays.origin[i], rays.direction[i]);
        wrong += near < edge_m ? 0 : 1;
    }
    EXPECT_GT(found, 2000);
    EXPECT_EQ(wrong, 0);
}

/// Boxes that touch: side by side with flush roofs, stacked with flush walls, in a corner.
struct TouchingBoxes : testing::TestWithParam<double> {
    const std::vector<Rectangle> boxes = {{Vec3(0, 0, 0), Vec3(6.058, 2.438, 2.591), Vec3(0, 0, 0)},
                                          {Vec3(0, 2.438, 0), Vec3(6.058, 2.438, 2.591), {}},
                                          {Vec3(0, 0, 2.591), Vec3(6.058, 2.438, 2.591), {}},
                                          {Vec3(6.058, 0, 0), Vec3(2.438, 6.058, 2.896), {}}};
};

TEST_P(TouchingBoxes, AgreeWithDoublePrecisionUnderGrazingSuns) {
    const Vec3 shift(GetParam(), -0.7 * GetParam(), 0.01 * GetParam());
    TriangleMesh mesh;
    for (const auto& box : boxes) add_box(mesh, box[0] + shift, box[1]);
    const RayScene scene(mesh);
    std::mt19937 random(7);
    std::uniform_real_distribution<double> any_azimuth(0, 360);
    Comparison result;
    for (const auto& box : boxes) {
        for (const auto& face : box_faces(box[0] + shift, box[1])) {
            const Vec3 normal = face[1].cross(face[2]).normalized();
            const auto points = points_on(face, 0.002, 40, random);
            for (const double elevation : {0.01, 0.03, 0.1, 0.3, 1.0, 30.0, 89.99}) {
                for (const double azimuth :
                     {0.0, 90.0, 180.0, 270.0, 0.01, 45.0, 89.99, any_azimuth(random)}) {
                    const Vec3 direction = sun(azimuth, elevation);
                    if (direction.dot(normal) <= 0) continue;
                    compare_shadows(result, mesh, scene, points, direction);
                }
            }
        }
    }
    EXPECT_GT(result.rays, 20000);
    EXPECT_GT(result.blocked, 3000);
    EXPECT_EQ(result.wrong, 0) << result.near_edge << " near an edge of " << result.rays;
    EXPECT_LT(result.near_edge, result.rays / 100);
}

INSTANTIATE_TEST_SUITE_P(AtTheOriginAndFarFromIt, TouchingBoxes,
                         testing::Values(0.0, 500.0, 5000.0));

TEST(RayScene, FlushRoofsAndFlushWallsDoNotShadeThemselves) {
    TriangleMesh mesh;
    const Vec3 size(6.058, 2.438, 2.591);
    add_box(mesh, Vec3(0, 0, 0), size);
    add_box(mesh, Vec3(0, 2.438, 0), size);
    add_box(mesh, Vec3(0, 0, 2.591), size);
    add_box(mesh, Vec3(0, 2.438, 2.591), size);
    const RayScene scene(mesh);
    std::mt19937 random(3);
    // The common roof, and the south walls one above the other, under suns of any height.
    std::vector<Vec3> roofs, walls;
    for (const double y : {0.0, 2.438}) {
        const auto points = points_on(box_faces(Vec3(0, y, 2.591), size)[0], 0.0005, 200, random);
        roofs.insert(roofs.end(), points.begin(), points.end());
    }
    for (const double z : {0.0, 2.591}) {
        const auto points = points_on(box_faces(Vec3(0, 0, z), size)[2], 0.0005, 200, random);
        walls.insert(walls.end(), points.begin(), points.end());
    }
    for (const double elevation : {0.01, 0.02, 0.05, 0.1, 0.5, 1.0, 5.0, 45.0, 89.9}) {
        for (double azimuth = 0; azimuth < 360; azimuth += 7.5) {
            for (const auto blocked : shadows(scene, roofs, sun(azimuth, elevation))) {
                ASSERT_EQ(blocked, 0) << "roof, sun at " << azimuth << ", " << elevation;
            }
        }
        // South walls: from 0.01 degrees in front of the wall plane on either side.
        for (const double azimuth :
             {90.01, 90.1, 91.0, 120.0, 180.0, 240.0, 269.0, 269.9, 269.99}) {
            for (const auto blocked : shadows(scene, walls, sun(azimuth, elevation))) {
                ASSERT_EQ(blocked, 0) << "wall, sun at " << azimuth << ", " << elevation;
            }
        }
    }
}

TEST(RayScene, LongThinTrianglesAgreeWithDoublePrecision) {
    // A fascia and a sheet edge: 100 m by 10 mm, with rays almost in their planes.
    TriangleMesh mesh;
    add_rectangle(mesh, Vec3(0, 0, 3), Vec3(100, 0, 0), Vec3(0, 0, 0.010));
    add_rectangle(mesh, Vec3(0, 0, 3.010), Vec3(100, 0, 0), Vec3(0, 4, 0));
    add_rectangle(mesh, Vec3(0, 4, 3), Vec3(100, 0.5, 0), Vec3(0, 0, 0.010));
    add_triangle(mesh, Vec3(0, -2, 0), Vec3(100, -2, 0), Vec3(50, -2, 0.010));
    const RayScene scene(mesh);
    std::mt19937 random(11);
    std::uniform_real_distribution<double> x(-20, 120), y(-3, 6), z(-0.5, 4), small(-1, 1);
    Comparison result;
    for (const double turn_deg : {1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.1, 1.0}) {
        for (const double elevation : {0.01, 0.1, 1.0}) {
            std::vector<Vec3> points;
            for (int i = 0; i < 300; ++i) points.emplace_back(x(random), y(random), z(random));
            for (int i = 0; i < 300; ++i) {  // beside the planes of the thin strips
                const double off =
                    (i % 2 == 0 ? 1 : -1) * (1 + std::abs(small(random))) * ray_offset_m;
                points.emplace_back(x(random), off, 3.005 + 0.02 * small(random));
                points.emplace_back(x(random), -2 + off, 0.01 * small(random));
            }
            for (const double azimuth : {90 + turn_deg, 90 - turn_deg, 270 + turn_deg}) {
                compare_shadows(result, mesh, scene, points, sun(azimuth, elevation));
            }
        }
    }
    EXPECT_GT(result.blocked, 1000);
    EXPECT_EQ(result.wrong, 0) << result.near_edge << " near an edge of " << result.rays;
}

TEST(RayScene, NoRayLeavesAClosedBox) {
    // Rays aimed exactly at corners, at edges and along diagonals must not slip between triangles.
    TriangleMesh mesh;
    const Vec3 size(12.192, 2.438, 2.896);
    add_box(mesh, Vec3(100, 50, 0), size);
    const RayScene scene(mesh);
    std::mt19937 random(5);
    std::uniform_real_distribution<double> uniform(0.01, 0.99);
    Rays rays;
    for (int i = 0; i < 300; ++i) {
        const Vec3 origin =
            Vec3(100, 50, 0) +
            size.cwiseProduct(Vec3(uniform(random), uniform(random), uniform(random)));
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
            for (int k = 0; k < 3; ++k) {
                const Vec3 a = mesh.corner(t, k), b = mesh.corner(t, (k + 1) % 3);
                rays.add(origin, a - origin);
                rays.add(origin, a + uniform(random) * (b - a) - origin);
            }
        }
    }
    std::vector<RayHit> hits(rays.origin.size());
    scene.first_hits(rays.origin, rays.direction, hits);
    for (std::size_t i = 0; i < hits.size(); ++i) {
        ASSERT_NE(hits[i].triangle, RayHit::nothing) << "ray " << i << " slipped out";
    }
}

}  // namespace
}  // namespace noonshell
