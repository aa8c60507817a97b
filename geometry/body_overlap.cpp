#include "geometry/body_overlap.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include "geometry/contacts.hpp"
#include "geometry/line_stretches.hpp"

namespace noonshell {

namespace {

constexpr std::size_t lines_a_side = 24;
constexpr double overlap_rounding_m = 1e-5;

using Stretches = std::vector<LineStretch>;

/// Matter along the line through a point, by the coordinate along `axis`.
Stretches matter_through(const RayMesh& mesh, const BodyBounds& bounds, Vec3 point_m, int axis) {
    point_m[axis] = bounds.low_m[axis] - 1;
    Stretches matter = matter_stretches(mesh.crossings(point_m, Vec3::Unit(axis)));
    for (LineStretch& part : matter) {
        part.low_m += point_m[axis];
        part.high_m += point_m[axis];
    }
    return matter;
}

/// Whether more than play of matter lies to all sides of a point.
bool is_deep_in(const RayMesh& mesh, const BodyBounds& bounds, const Vec3& point_m) {
    for (int axis = 0; axis < 3; ++axis) {
        const Stretches matter = matter_through(mesh, bounds, point_m, axis);
        const bool deep = std::ranges::any_of(matter, [&](const LineStretch& part) {
            return point_m[axis] - part.low_m > contact_overlap_m &&
                   part.high_m - point_m[axis] > contact_overlap_m;
        });
        if (!deep) return false;
    }
    return true;
}

/// Whether two stretches of matter share more than play, or one sticks out of the other both ways.
bool run_in(const LineStretch& a, const LineStretch& b) {
    const double shared = std::min(a.high_m, b.high_m) - std::max(a.low_m, b.low_m);
    if (shared <= overlap_rounding_m) return false;
    if (shared > contact_overlap_m) return true;
    const auto sticks_out = [](const LineStretch& p, const LineStretch& q) {
        return q.low_m - p.low_m > contact_overlap_m && p.high_m - q.high_m > contact_overlap_m;
    };
    return sticks_out(a, b) || sticks_out(b, a);
}

}  // namespace

const BodyOverlaps::Prepared& BodyOverlaps::prepared(BodyId id) {
    const auto found = prepared_.find(id);
    if (found != prepared_.end()) return found->second;
    const Body& body = model_.bodies[id.index()];
    std::vector<RayMesh::Triangle> triangles;
    for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
        const Face& face = model_.faces[f];
        for (std::uint32_t t = face.first_triangle; t < face.first_triangle + face.n_triangles;
             ++t) {
            triangles.push_back(
                {{model_.mesh.corner(t, 0), model_.mesh.corner(t, 1), model_.mesh.corner(t, 2)},
                 body.solid,
                 id.value});
        }
    }
    Prepared made{bounds_of_body(model_, id), RayMesh(std::move(triangles)), body.solid};
    return prepared_.emplace(id, std::move(made)).first->second;
}

/// Whether an edge of the shell's triangles runs through a face of the other body, well within
/// both, or the middle of one of its triangles lies in matter.
bool BodyOverlaps::pierces(BodyId shell, const Prepared& other) const {
    const Body& body = model_.bodies[shell.index()];
    if (body.n_faces == 0) return false;
    const Face& last = model_.faces[body.first_face + body.n_faces - 1];
    const std::size_t begin = model_.faces[body.first_face].first_triangle;
    for (std::size_t t = begin; t < last.first_triangle + last.n_triangles; ++t) {
        Vec3 middle = Vec3::Zero();
        for (int k = 0; k < 3; ++k) {
            const Vec3 from = model_.mesh.corner(t, k);
            const Vec3 way = model_.mesh.corner(t, (k + 1) % 3) - from;
            middle += from / 3;
            const double length = way.norm();
            if (length <= 2 * contact_overlap_m) continue;
            const Vec3 along = way / length;
            const Vec3 across = along.unitOrthogonal(), up = along.cross(across);
            const std::array<Vec3, 4> shifts{across, -across, up, -up};
            const bool through = std::ranges::all_of(shifts, [&](const Vec3& shift) {
                return other.mesh.blocked(from + contact_overlap_m * shift, along,
                                          contact_overlap_m, length - contact_overlap_m);
            });
            if (through) return true;
        }
        if (other.solid && is_deep_in(other.mesh, other.bounds, middle)) return true;
    }
    return false;
}

bool BodyOverlaps::overlap(BodyId first, BodyId second) {
    const Prepared &a = prepared(first), &b = prepared(second);
    const Vec3 low = a.bounds.low_m.cwiseMax(b.bounds.low_m);
    const Vec3 size = a.bounds.high_m.cwiseMin(b.bounds.high_m) - low;
    if (size.minCoeff() < (a.solid && b.solid ? overlap_rounding_m : -overlap_rounding_m))
        return false;
    if (!a.solid && pierces(first, b)) return true;
    if (!b.solid && pierces(second, a)) return true;
    if (!a.solid || !b.solid) return false;
    const auto meets = [&](const Vec3& at, int axis) {
        const Stretches in_a = matter_through(a.mesh, a.bounds, at, axis);
        const Stretches in_b = matter_through(b.mesh, b.bounds, at, axis);
        std::vector<double> middles;
        for (const LineStretch& p : in_a) {
            for (const LineStretch& q : in_b) {
                if (!run_in(p, q)) continue;
                middles.push_back((std::max(p.low_m, q.low_m) + std::min(p.high_m, q.high_m)) / 2);
            }
        }
        return middles;
    };
    const auto meets_at = [&](const Vec3& at, int axis) {
        const auto holds = [&](const LineStretch& part) {
            return part.low_m < at[axis] && at[axis] < part.high_m;
        };
        const Stretches in_a = matter_through(a.mesh, a.bounds, at, axis);
        const Stretches in_b = matter_through(b.mesh, b.bounds, at, axis);
        const auto p = std::ranges::find_if(in_a, holds);
        const auto q = std::ranges::find_if(in_b, holds);
        return p != in_a.end() && q != in_b.end() && run_in(*p, *q);
    };
    // A jitter that repeats: the golden ratio spreads neighbouring lines over their cells.
    constexpr double golden = 0.6180339887498949;
    const auto spread = [](std::size_t n) {
        return std::fmod(golden * static_cast<double>(n) + 0.5, 1.0);
    };
    for (int axis = 0; axis < 3; ++axis) {
        const int u = (axis + 1) % 3, v = (axis + 2) % 3;
        for (std::size_t line = 0; line < lines_a_side * lines_a_side; ++line) {
            const std::size_t i = line % lines_a_side, j = line / lines_a_side;
            Vec3 at = low;
            at[u] += size[u] * (static_cast<double>(i) + spread(j)) / lines_a_side;
            at[v] += size[v] * (static_cast<double>(j) + spread(i)) / lines_a_side;
            for (const double middle : meets(at, axis)) {
                at[axis] = middle;
                if (meets_at(at, u) && meets_at(at, v)) return true;
            }
        }
    }
    return false;
}

}  // namespace noonshell
