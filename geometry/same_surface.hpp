// When two sets of triangles are the same surface at the same place, however each was cut.
#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// Moments of a surface: they do not depend on how it is cut into triangles.
struct SurfaceMoments {
    double area_m2 = 0;
    Vec3 centre_m = Vec3::Zero();
    Eigen::Matrix3d spread_m2 = Eigen::Matrix3d::Zero();  ///< mean of (x - centre)(x - centre)^T
};

/// Moments of the triangles [first, last) of a mesh.
SurfaceMoments surface_moments(const TriangleMesh& mesh, std::size_t first, std::size_t last);

/// Equal area, centre and spread: within 1e-5 of the area and 0.1 mm.
bool same_surface(const SurfaceMoments& a, const SurfaceMoments& b);

/// For each item the first earlier item that is the same surface, or its own index.
std::vector<std::size_t> first_of_same(const std::vector<SurfaceMoments>& items);

}  // namespace noonshell
