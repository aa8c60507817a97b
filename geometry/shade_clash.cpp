#include "geometry/shade_clash.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <span>

namespace noonshell {

namespace {

/// A triangle that only touches a prism does not run into it [m].
constexpr double touch_m = 1e-5;

std::vector<Vec3> corners_of(const Prism& prism) {
    std::vector<Vec3> corners = prism.base_m;
    for (const Vec3& p : prism.base_m) corners.push_back(p + prism.sweep_m);
    return corners;
}

std::vector<Vec3> corners_of(const PlanFrame& box) {
    std::vector<Vec3> corners;
    for (const double x : {box.west_m, box.east_m}) {
        for (const double y : {box.south_m, box.north_m}) {
            for (const double z : {box.bottom_m, box.top_m}) {
                corners.push_back(box.east * x + box.north * y + Vec3(0, 0, z));
            }
        }
    }
    return corners;
}

/// How far two sets of points overlap along an axis; negative where they stand apart.
double overlap(std::span<const Vec3> a, std::span<const Vec3> b, const Vec3& axis) {
    constexpr double far = std::numeric_limits<double>::infinity();
    double a_low = far, a_high = -far, b_low = far, b_high = -far;
    for (const Vec3& p : a) {
        a_low = std::min(a_low, p.dot(axis));
        a_high = std::max(a_high, p.dot(axis));
    }
    for (const Vec3& p : b) {
        b_low = std::min(b_low, p.dot(axis));
        b_high = std::max(b_high, p.dot(axis));
    }
    return std::min(a_high - b_low, b_high - a_low);
}

/// Two convex bodies are apart exactly if one of these directions keeps them apart: the normals of
/// their faces and the products of their edges.
std::vector<Vec3> separating_axes(const Prism& prism, const PlanFrame& box) {
    const std::array<Vec3, 3> box_axes{box.north, box.east, Vec3::UnitZ()};
    std::vector<Vec3> axes(box_axes.begin(), box_axes.end());
    std::vector<Vec3> edges{prism.sweep_m};
    for (std::size_t k = 0; k < prism.base_m.size(); ++k) {
        edges.push_back(prism.base_m[(k + 1) % prism.base_m.size()] - prism.base_m[k]);
        axes.push_back(edges.back().cross(prism.sweep_m));
    }
    axes.push_back(edges[1].cross(edges[2]));
    for (const Vec3& edge : edges) {
        for (const Vec3& axis : box_axes) axes.push_back(edge.normalized().cross(axis));
    }
    return axes;
}

double box_depth_m(const Prism& prism, const PlanFrame& box) {
    constexpr double least_axis = 1e-9;  // parallel edges give no direction
    const std::vector<Vec3> a = corners_of(prism), b = corners_of(box);
    double depth = std::numeric_limits<double>::infinity();
    for (const Vec3& axis : separating_axes(prism, box)) {
        if (axis.norm() < least_axis) continue;
        depth = std::min(depth, overlap(a, b, axis.normalized()));
        if (depth <= 0) return 0;
    }
    return depth;
}

/// The side of a plane against its normal.
struct HalfSpace {
    Vec3 normal;
    double offset = 0;
};

std::vector<HalfSpace> half_spaces(const Prism& prism) {
    std::vector<HalfSpace> list;
    for (const auto& face : faces_of(prism)) {
        const Vec3 normal = (face[1] - face[0]).cross(face[2] - face[0]).normalized();
        list.push_back({normal, normal.dot(face[0]) - touch_m});
    }
    return list;
}

bool reaches_inside(std::vector<Vec3> polygon, std::span<const HalfSpace> inside) {
    for (const HalfSpace& half : inside) {
        std::vector<Vec3> kept;
        for (std::size_t k = 0; k < polygon.size(); ++k) {
            const Vec3 &p = polygon[k], &q = polygon[(k + 1) % polygon.size()];
            const double from = half.normal.dot(p) - half.offset;
            const double to = half.normal.dot(q) - half.offset;
            if (from <= 0) kept.push_back(p);
            if ((from < 0 && to > 0) || (from > 0 && to < 0)) {
                kept.push_back(p + (q - p) * (from / (from - to)));
            }
        }
        polygon = std::move(kept);
        if (polygon.empty()) return false;
    }
    return true;
}

/// The solid angle of closed triangles, over 4 pi: 1 inside, 0 outside. [vanoosterom1983] eq. 8.
double winding_number(std::span<const Vec3> corners, const Vec3& at) {
    double sum = 0;
    for (std::size_t t = 0; t + 2 < corners.size(); t += 3) {
        const Vec3 a = corners[t] - at, b = corners[t + 1] - at, c = corners[t + 2] - at;
        const double la = a.norm(), lb = b.norm(), lc = c.norm();
        sum += 2 * std::atan2(a.dot(b.cross(c)),
                              la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb);
    }
    return sum / (4 * std::numbers::pi);
}

bool meets(const Prism& prism, std::span<const Vec3> corners) {
    const std::vector<HalfSpace> inside = half_spaces(prism);
    for (std::size_t t = 0; t + 2 < corners.size(); t += 3) {
        if (reaches_inside({corners[t], corners[t + 1], corners[t + 2]}, inside)) return true;
    }
    Vec3 middle(0, 0, 0);
    const std::vector<Vec3> own = corners_of(prism);
    for (const Vec3& p : own) middle += p / static_cast<double>(own.size());
    return winding_number(corners, middle) > 0.5;
}

}  // namespace

ClashUnit clash_unit(const Model& model, const Envelope& envelope, UnitId unit) {
    ClashUnit out{unit, frame_of_units(model, envelope, std::span(&unit, 1)), {}};
    for (const SurfaceId id : envelope.units[unit.index()].surfaces) {
        const auto corners = triangle_corners(model, envelope.surfaces[id.index()]);
        out.corners.insert(out.corners.end(), corners.begin(), corners.end());
    }
    return out;
}

double clash_depth_m(const Prism& prism, const ClashUnit& unit) {
    const double depth = box_depth_m(prism, unit.box);
    return depth > 0 && meets(prism, unit.corners) ? depth : 0;
}

}  // namespace noonshell
