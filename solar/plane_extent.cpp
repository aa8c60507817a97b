#include "solar/plane_extent.hpp"

#include <Eigen/Geometry>

namespace noonshell {

Tangents plane_axes(const Vec3& normal) {
    const Vec3 across(-normal.y(), normal.x(), 0);
    const Vec3 u = across.norm() < 1e-9 ? Vec3(Vec3::UnitX()) : Vec3(across.normalized());
    return {u, normal.cross(u)};
}

Extent extent_of(const Envelope& envelope, const Surface& surface, const Tangents& axes) {
    Extent extent;
    const auto& begin = envelope.facets.triangle_begin;
    for (auto t = begin[surface.first_facet]; t < begin[surface.first_facet + surface.n_facets];
         ++t) {
        for (const Vec3& corner : envelope.facets.triangles_m[t]) {
            extent.include(in_plane(axes, corner));
        }
    }
    return extent;
}

}  // namespace noonshell
