#include "geometry/lids.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <limits>

#include "geometry/body_measure.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// Lids lie no lower than this below the top of the walls, and no higher above it: cross-members of
/// 122 mm and play [m].
constexpr double lid_below_m = 0.06, lid_above_m = 0.20;

/// Steeper undersides are no lid: cosine of some 18 degrees.
constexpr double least_level = 0.95;

BodyBounds bounds_of_bodies(const Model& model, std::span<const BodyId> bodies) {
    BodyBounds all{Vec3::Constant(std::numeric_limits<double>::infinity()),
                   Vec3::Constant(-std::numeric_limits<double>::infinity())};
    for (const BodyId id : bodies) {
        const BodyBounds one = bounds_of_body(model, id);
        all.low_m = all.low_m.cwiseMin(one.low_m);
        all.high_m = all.high_m.cwiseMax(one.high_m);
    }
    return all;
}

}  // namespace

std::vector<RayMesh::Triangle> lid_of_neighbours(const Model& model, std::span<const BodyId> bodies,
                                                 std::span<const BodyId> others) {
    const BodyBounds reach = bounds_of_bodies(model, bodies);
    const double low_m = reach.high_m.z() - lid_below_m, high_m = reach.high_m.z() + lid_above_m;
    std::vector<BodyId> above;
    for (const BodyId id : others) {
        const BodyBounds b = bounds_of_body(model, id);
        const bool near = (b.low_m.head<2>().array() < reach.high_m.head<2>().array()).all() &&
                          (b.high_m.head<2>().array() > reach.low_m.head<2>().array()).all() &&
                          b.low_m.z() <= high_m && b.high_m.z() >= low_m;
        if (near) above.push_back(id);
    }
    std::vector<RayMesh::Triangle> lid;
    for (RayMesh::Triangle& triangle : ray_triangles(model, above)) {
        const auto& c = triangle.corners_m;
        const Vec3 area = (c[1] - c[0]).cross(c[2] - c[0]);
        const bool closed = model.bodies[triangle.body].solid;
        const double down = closed ? -area.z() : std::abs(area.z());
        const auto [lowest, highest] = std::minmax({c[0].z(), c[1].z(), c[2].z()});
        if (down < least_level * area.norm() || lowest < low_m || highest > high_m) continue;
        triangle.of_solid = false;
        lid.push_back(triangle);
    }
    return lid;
}

std::vector<RayMesh::Triangle> lid_drawn_over(const Model& model, std::span<const BodyId> bodies) {
    const BodyBounds b = bounds_of_bodies(model, bodies);
    const double z = b.high_m.z();
    const std::array<Vec3, 4> corner{
        Vec3(b.low_m.x(), b.low_m.y(), z), Vec3(b.high_m.x(), b.low_m.y(), z),
        Vec3(b.high_m.x(), b.high_m.y(), z), Vec3(b.low_m.x(), b.high_m.y(), z)};
    const std::uint32_t body = bodies.front().value;
    return {{{corner[0], corner[1], corner[2]}, false, body},
            {{corner[0], corner[2], corner[3]}, false, body}};
}

}  // namespace noonshell
