#include "geometry/shade_frames.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/compass.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr double far = std::numeric_limits<double>::infinity();

/// A wall must be longer than another by this to lead [m]: equal walls stay equal in any rounding.
constexpr double longer_by_m = 1e-6;

struct Range {
    double low = far, high = -far;
    void add(double x) {
        low = std::min(low, x);
        high = std::max(high, x);
    }
};

Range range_along(std::span<const Vec3> points, const Vec3& axis) {
    Range range;
    for (const Vec3& p : points) range.add(p.dot(axis));
    return range;
}

/// Of the four directions along and across a wall, the one within 45 degrees of true north.
Vec3 nearest_to_north(Vec3 axis, double north_deg) {
    for (int turn = 0; turn < 4; ++turn) {
        const double azimuth = compass_azimuth_deg(axis, north_deg);
        if (azimuth >= 315.0 || azimuth < 45.0) break;
        axis = Vec3(axis.y(), -axis.x(), 0);
    }
    return axis;
}

}  // namespace

double WallFrame::distance_m(const Vec3& at_m) const {
    const double along = at_m.dot(right);
    const double beside = along - std::clamp(along, left_m, right_m);
    const double above = at_m.z() - std::clamp(at_m.z(), foot_m, top_m);
    return std::hypot(beside, above, std::max(0.0, at_m.dot(outward) - face_m));
}

Vec3 WallFrame::point(double along_m, double above_m, double off_m) const {
    return right * ((left_m + right_m) / 2 + along_m) + outward * (face_m + off_m) +
           Vec3(0, 0, foot_m + above_m);
}

std::vector<Vec3> triangle_corners(const Model& model, const Surface& surface) {
    std::vector<Vec3> corners;
    for (const FaceId id : surface.faces) {
        const Face& face = model.faces[id.index()];
        for (std::size_t t = 0; t < face.n_triangles; ++t) {
            for (int k = 0; k < 3; ++k) {
                corners.push_back(model.mesh.corner(face.first_triangle + t, k));
            }
        }
    }
    return corners;
}

WallFrame frame_of_wall(const Model& model, const Surface& surface) {
    WallFrame frame;
    const Vec3 level(surface.normal.x(), surface.normal.y(), 0);
    NOONSHELL_CHECK_GT(level.norm(), 0.0);
    frame.outward = level.normalized();
    frame.right = Vec3(-frame.outward.y(), frame.outward.x(), 0);
    const std::vector<Vec3> points = triangle_corners(model, surface);
    NOONSHELL_CHECK_GT(points.size(), std::size_t{0});
    const Range along = range_along(points, frame.right);
    const Range height = range_along(points, Vec3::UnitZ());
    frame.left_m = along.low;
    frame.right_m = along.high;
    frame.foot_m = height.low;
    frame.top_m = height.high;
    frame.face_m = range_along(points, frame.outward).high;
    return frame;
}

PlanFrame frame_of_units(const Model& model, const Envelope& envelope,
                         std::span<const UnitId> units) {
    std::vector<Vec3> points;
    Vec3 lead = Vec3::UnitY();
    double longest_m = 0;
    for (const UnitId unit : units) {
        for (const SurfaceId id : envelope.units[unit.index()].surfaces) {
            const Surface& surface = envelope.surfaces[id.index()];
            const std::vector<Vec3> corners = triangle_corners(model, surface);
            points.insert(points.end(), corners.begin(), corners.end());
            if (surface.kind != SurfaceKind::wall || corners.empty()) continue;
            const WallFrame wall = frame_of_wall(model, surface);
            if (wall.width_m() <= longest_m + longer_by_m) continue;
            longest_m = wall.width_m();
            lead = wall.outward;
        }
    }
    NOONSHELL_CHECK_GT(points.size(), std::size_t{0});
    PlanFrame frame;
    frame.north = nearest_to_north(lead, envelope.north_deg);
    frame.east = Vec3(frame.north.y(), -frame.north.x(), 0);
    const Range across = range_along(points, frame.north), along = range_along(points, frame.east);
    const Range height = range_along(points, Vec3::UnitZ());
    frame.south_m = across.low;
    frame.north_m = across.high;
    frame.west_m = along.low;
    frame.east_m = along.high;
    frame.bottom_m = height.low;
    frame.top_m = height.high;
    return frame;
}

}  // namespace noonshell
