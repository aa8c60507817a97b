#include "geometry/door_leaves.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/patches.hpp"
#include "geometry/ray_mesh.hpp"
#include "geometry/relief.hpp"
#include "geometry/sides.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// A plate by its middle, its axes (the last across it) and its half extents along them.
struct Plate {
    Vec3 middle_m;
    Vec3 axis[3];
    double half_m[3];
};

Plate plate_of(const std::vector<Patch>& patches) {
    const Vec3 across = leading_directions(patches).front().normal;
    const Vec3 up = std::abs(across.z()) > 0.5 ? Vec3::UnitX() : Vec3::UnitZ();
    Plate plate;
    plate.axis[0] = up.cross(across).normalized();
    plate.axis[1] = across.cross(plate.axis[0]);
    plate.axis[2] = across;
    plate.middle_m = Vec3::Zero();
    for (int k = 0; k < 3; ++k) {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const Patch& patch : patches) {
            for (const ConvexPolygon& polygon : patch.outline) {
                for (const Vec2& corner : polygon) {
                    const double at = plate.axis[k].dot(patch.frame.to_space(corner));
                    low = std::min(low, at);
                    high = std::max(high, at);
                }
            }
        }
        plate.middle_m += (low + high) / 2 * plate.axis[k];
        plate.half_m[k] = (high - low) / 2;
    }
    return plate;
}

bool fills_an_opening(const Plate& plate, const RayMesh& hull) {
    const auto is_close = [&](const Vec3& way, double half_m) {
        return hull.blocked(plate.middle_m, way, 0, half_m + closed_gap_m);
    };
    const auto framed = [&](int k) {
        return is_close(plate.axis[k], plate.half_m[k]) &&
               is_close(-plate.axis[k], plate.half_m[k]);
    };
    if (!framed(0) && !framed(1)) return false;
    return hull.blocked(plate.middle_m, plate.axis[2], 0) !=
           hull.blocked(plate.middle_m, -plate.axis[2], 0);
}

}  // namespace

std::vector<BodyId> leaves_in_openings(const Model& model, const std::vector<BodyBounds>& bounds,
                                       BodyId hull, std::span<const BodyId> plates) {
    const BodyBounds& walls = bounds[hull.index()];
    const Vec3 reach = Vec3::Constant(relief_depth_m);
    std::vector<BodyId> near;
    for (const BodyId plate : plates) {
        const BodyBounds& at = bounds[plate.index()];
        if ((at.low_m.array() >= (walls.low_m - reach).array()).all() &&
            (at.high_m.array() <= (walls.high_m + reach).array()).all()) {
            near.push_back(plate);
        }
    }
    if (near.empty()) return near;
    const BodyId one[] = {hull};
    const RayMesh mesh = ray_mesh_of(model, one);
    std::erase_if(near, [&](BodyId id) {
        const std::vector<Patch> patches = planar_patches(model, id);
        return patches.empty() || !fills_an_opening(plate_of(patches), mesh);
    });
    return near;
}

}  // namespace noonshell
