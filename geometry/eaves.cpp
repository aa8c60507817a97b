#include "geometry/eaves.hpp"

#include <algorithm>
#include <optional>

#include "geometry/convex_polygon.hpp"
#include "geometry/enclosure.hpp"

namespace noonshell {

namespace {

constexpr double up_or_down = 0.5;  ///< least upright part of a normal

bool holds(const ConvexPolygon& polygon, const Vec2& at) {
    constexpr double rounding_m2 = 1e-9;
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Vec2 along = polygon[(k + 1) % polygon.size()] - polygon[k], to = at - polygon[k];
        if (along.x() * to.y() - along.y() * to.x() < -rounding_m2) return false;
    }
    return true;
}

/// Height of a patch over a point of the plan, if it lies over it.
std::optional<double> height_over(const Patch& patch, const Vec3& point_m) {
    const Vec3& n = patch.frame.normal;
    const double up_m = n.dot(patch.frame.origin_m - point_m) / n.z();
    const Vec2 at = patch.frame.to_plane(point_m + Vec3(0, 0, up_m));
    const bool there = std::ranges::any_of(
        patch.outline, [&](const ConvexPolygon& polygon) { return holds(polygon, at); });
    return there ? std::optional(up_m) : std::nullopt;
}

/// Whether the unit is there above a point, but nowhere as high as a room.
bool is_low_above(std::span<const Patch> patches, const Vec3& point_m) {
    double highest_m = 0;
    for (const Patch& patch : patches) {
        if (patch.frame.normal.z() < up_or_down) continue;
        highest_m = std::max(highest_m, height_over(patch, point_m).value_or(0));
    }
    return highest_m > 0 && highest_m < least_room_height_m;
}

}  // namespace

std::vector<bool> under_eaves(std::span<const Patch> patches) {
    std::vector<bool> eaves(patches.size(), false);
    bool any_floor = false;
    for (std::size_t p = 0; p < patches.size(); ++p) {
        const Patch& patch = patches[p];
        if (patch.frame.normal.z() > -up_or_down) continue;
        double low_m2 = 0, all_m2 = 0;
        for (const ConvexPolygon& polygon : patch.outline) {
            const double area = signed_area(polygon);
            all_m2 += area;
            if (is_low_above(patches, patch.frame.to_space(area_centroid(polygon))))
                low_m2 += area;
        }
        eaves[p] = low_m2 > all_m2 / 2;
        any_floor = any_floor || !eaves[p];
    }
    if (!any_floor) eaves.assign(patches.size(), false);
    return eaves;
}

}  // namespace noonshell
