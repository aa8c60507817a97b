#include "geometry/containment.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "geometry/body_measure.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// Bodies that touch from within: what stands out by less than this is rounding [m].
constexpr double bounds_rounding_m = 0.001;
/// A box of nearly the same size is the same body drawn twice, not one inside the other.
constexpr double most_size_share = 0.9995;
/// Share of the inner body's area that must have something straight above.
constexpr double least_covered_share = 0.7;
constexpr std::size_t most_points_tried = 96;

}  // namespace

bool fits_into(const BodyBounds& inner, const BodyBounds& outer) {
    const Vec3 size = inner.high_m - inner.low_m, room = outer.high_m - outer.low_m;
    return ((inner.low_m - outer.low_m).array() >= -bounds_rounding_m).all() &&
           ((outer.high_m - inner.high_m).array() >= -bounds_rounding_m).all() &&
           size.prod() <= most_size_share * room.prod();
}

bool lies_within(const Model& model, BodyId inner, const RayMesh& outer, double most_openness) {
    const Body& body = model.bodies[inner.index()];
    if (body.n_faces == 0) return false;
    const std::size_t begin = model.faces[body.first_face].first_triangle;
    const Face& last = model.faces[body.first_face + body.n_faces - 1];
    const std::size_t n = last.first_triangle + last.n_triangles - begin;
    const std::size_t stride = (n + most_points_tried - 1) / most_points_tried;
    double area = 0, open = 0, covered = 0;
    for (std::size_t t = begin; t < begin + n; t += std::max<std::size_t>(1, stride)) {
        const Vec3 a = model.mesh.corner(t, 0), b = model.mesh.corner(t, 1),
                   c = model.mesh.corner(t, 2);
        const Vec3 normal = (b - a).cross(c - a);
        const double weight = normal.norm();
        if (!(weight > 0)) continue;
        // Behind the face: where the two bodies touch, the point must not lie on both.
        const Vec3 at = (a + b + c) / 3 - bounds_rounding_m / weight * normal;
        area += weight;
        double openness = openness_of_point(outer, at);
        if (!body.solid) {
            // A sheet on the outside of a wall sees the open before it.
            const Vec3 before = (a + b + c) / 3 + bounds_rounding_m / weight * normal;
            openness = std::max(openness, openness_of_point(outer, before));
        }
        open += weight * openness;
        covered += outer.blocked(at, Vec3::UnitZ(), 0) ? weight : 0;
    }
    return area > 0 && open <= most_openness * area && covered >= least_covered_share * area;
}

}  // namespace noonshell
