// Extents of a surface in its own plane.
#pragma once

#include <Eigen/Core>

#include "geometry/envelope.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

/// Axes in the plane of a surface: level across, then up the slope.
Tangents plane_axes(const Vec3& normal);

/// A rectangle along two axes [m]; empty at first.
struct Extent {
    Eigen::Vector2d low = Eigen::Vector2d::Constant(1e300);
    Eigen::Vector2d high = Eigen::Vector2d::Constant(-1e300);

    void include(const Eigen::Vector2d& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
};

inline Eigen::Vector2d in_plane(const Tangents& axes, const Vec3& point_m) {
    return {axes.u.dot(point_m), axes.v.dot(point_m)};
}

/// That of all facets of the surface.
Extent extent_of(const Envelope& envelope, const Surface& surface, const Tangents& axes);

}  // namespace noonshell
