// A second, independent ray tracer for tests: every triangle is tried in double precision with the
// method of Moeller and Trumbore ("Fast, minimum storage ray/triangle intersection", 1997).
#pragma once

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/model.hpp"

namespace noonshell::exact_rays {

struct Hit {
    std::size_t triangle = std::numeric_limits<std::size_t>::max();
    double distance_m = std::numeric_limits<double>::infinity();
    bool found() const { return std::isfinite(distance_m); }
};

/// Distance along the ray to one triangle, infinite where it is missed.
inline double distance_to_triangle(const TriangleMesh& mesh, std::size_t triangle,
                                   const Vec3& origin, const Vec3& direction) {
    constexpr double missed = std::numeric_limits<double>::infinity();
    const Vec3 a = mesh.corner(triangle, 0);
    const Vec3 edge_1 = mesh.corner(triangle, 1) - a, edge_2 = mesh.corner(triangle, 2) - a;
    const Vec3 p = direction.cross(edge_2);
    const double determinant = edge_1.dot(p);
    if (determinant == 0) return missed;
    const Vec3 from_a = origin - a;
    const double u = from_a.dot(p) / determinant;
    if (u < 0 || u > 1) return missed;
    const Vec3 q = from_a.cross(edge_1);
    const double v = direction.dot(q) / determinant;
    if (v < 0 || u + v > 1) return missed;
    const double t = edge_2.dot(q) / determinant;
    return t > 0 ? t : missed;
}

inline Hit first_hit(const TriangleMesh& mesh, const Vec3& origin, const Vec3& direction) {
    Hit best;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const double distance = distance_to_triangle(mesh, t, origin, direction);
        if (distance < best.distance_m) best = {t, distance};
    }
    return best;
}

/// Least distance between the half line of a ray and a segment.
inline double distance_to_segment(const Vec3& origin, const Vec3& direction, const Vec3& a,
                                  const Vec3& b) {
    const auto from_point = [&](const Vec3& p) {
        const double t = std::max(0.0, (p - origin).dot(direction));
        return (origin + t * direction - p).norm();
    };
    const Vec3 edge = b - a;
    const double length = edge.norm();
    double best = std::min(from_point(a), from_point(b));
    const Vec3 along = edge / length;
    const auto from_origin = std::clamp((origin - a).dot(along), 0.0, length);
    best = std::min(best, (a + from_origin * along - origin).norm());
    const Vec3 normal = direction.cross(along);
    if (normal.squaredNorm() < 1e-24) return best;
    const Vec3 w = a - origin;
    const double t = w.cross(along).dot(normal) / normal.squaredNorm();
    const double s = w.cross(direction).dot(normal) / normal.squaredNorm();
    if (t >= 0 && s >= 0 && s <= length) {
        best = std::min(best, (origin + t * direction - a - s * along).norm());
    }
    return best;
}

/// Least distance between a ray and any edge of the mesh: below some small length the answer of a
/// tracer in single precision may go either way.
inline double distance_to_nearest_edge(const TriangleMesh& mesh, const Vec3& origin,
                                       const Vec3& direction) {
    double best = std::numeric_limits<double>::infinity();
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        for (int k = 0; k < 3; ++k) {
            best = std::min(best, distance_to_segment(origin, direction, mesh.corner(t, k),
                                                      mesh.corner(t, (k + 1) % 3)));
        }
    }
    return best;
}

}  // namespace noonshell::exact_rays
