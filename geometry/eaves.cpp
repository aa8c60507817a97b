#include "geometry/eaves.hpp"

#include <Eigen/Geometry>
#include <utility>

#include "geometry/convex_polygon.hpp"
#include "geometry/enclosure.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

namespace {

constexpr double up_or_down = 0.5;  ///< least upright part of a normal

/// All that faces up.
RayMesh upward_faces(std::span<const Patch> patches) {
    std::vector<RayMesh::Triangle> triangles;
    for (const Patch& patch : patches) {
        if (patch.frame.normal.z() < up_or_down) continue;
        for (const ConvexPolygon& polygon : patch.outline) {
            const auto at = [&](std::size_t k) { return patch.frame.to_space(polygon[k]); };
            for (std::size_t k = 1; k + 1 < polygon.size(); ++k)
                triangles.push_back({{at(0), at(k), at(k + 1)}, false, 0});
        }
    }
    return RayMesh(std::move(triangles));
}

/// Whether the unit is there above a point, but nowhere as high as a room.
bool is_low_above(const RayMesh& upward, const Vec3& point_m) {
    const auto met = upward.crossings(point_m, Vec3::UnitZ());
    return !met.empty() && met.back().distance_m < least_room_height_m;
}

}  // namespace

std::vector<bool> under_eaves(std::span<const Patch> patches) {
    std::vector<bool> eaves(patches.size(), false);
    bool any_floor = false;
    const RayMesh upward = upward_faces(patches);
    for (std::size_t p = 0; p < patches.size(); ++p) {
        const Patch& patch = patches[p];
        if (patch.frame.normal.z() > -up_or_down) continue;
        double low_m2 = 0, all_m2 = 0;
        for (const ConvexPolygon& polygon : patch.outline) {
            const double area = signed_area(polygon);
            all_m2 += area;
            if (is_low_above(upward, patch.frame.to_space(area_centroid(polygon)))) low_m2 += area;
        }
        eaves[p] = low_m2 > all_m2 / 2;
        any_floor = any_floor || !eaves[p];
    }
    if (!any_floor) eaves.assign(patches.size(), false);
    return eaves;
}

}  // namespace noonshell
