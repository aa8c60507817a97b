#include "geometry/door_leaves.hpp"

#include <algorithm>

#include "geometry/plates.hpp"
#include "geometry/relief.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

bool fills_an_opening(const Plate& plate, const RayMesh& hull) {
    if (!is_framed(plate, 0, hull) && !is_framed(plate, 1, hull)) return false;
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
