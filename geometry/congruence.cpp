#include "geometry/congruence.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {

constexpr double same_corner_m = 1e-4;

std::uint32_t first_triangle(const Model& model, const Body& body) {
    return model.faces[body.first_face].first_triangle;
}

std::uint32_t n_triangles(const Model& model, const Body& body) {
    const Face& last = model.faces[body.first_face + body.n_faces - 1];
    return last.first_triangle + last.n_triangles - first_triangle(model, body);
}

/// A turn about the upright axis, then a shift.
struct UprightMove {
    double cosine = 1, sine = 0;
    Vec3 shift_m{0, 0, 0};

    Vec3 operator()(const Vec3& p) const {
        return Vec3(cosine * p.x() - sine * p.y(), sine * p.x() + cosine * p.y(), p.z()) + shift_m;
    }
};

/// The move that takes one pair of corners, level apart, to another; none where they do not fit.
std::optional<UprightMove> move_between(const Vec3& a0, const Vec3& a1, const Vec3& b0,
                                        const Vec3& b1) {
    const Vec3 a = a1 - a0, b = b1 - b0;
    const double level = std::hypot(a.x(), a.y());
    if (level < same_corner_m || std::abs(level - std::hypot(b.x(), b.y())) > same_corner_m) {
        return std::nullopt;
    }
    const double turn = std::atan2(b.y(), b.x()) - std::atan2(a.y(), a.x());
    UprightMove move{std::cos(turn), std::sin(turn), Vec3::Zero()};
    move.shift_m = b0 - move(a0);
    return move;
}

/// The corner of a body that is farthest, seen in plan, from its first one: as triangle and corner.
std::pair<std::uint32_t, int> farthest_corner(const Model& model, const Body& body) {
    const std::uint32_t first = first_triangle(model, body);
    const Vec3 from = model.mesh.corner(first, 0);
    std::pair<std::uint32_t, int> best{0, 0};
    double farthest = -1;
    for (std::uint32_t t = 0; t < n_triangles(model, body); ++t) {
        for (int k = 0; k < 3; ++k) {
            const Vec3 to = model.mesh.corner(first + t, k) - from;
            const double distance = std::hypot(to.x(), to.y());
            if (distance <= farthest + same_corner_m) continue;
            farthest = distance;
            best = {t, k};
        }
    }
    return best;
}

bool is_moved(const Model& model, const Body& a, const Body& b, const UprightMove& move) {
    const std::uint32_t n = n_triangles(model, a);
    if (n != n_triangles(model, b)) return false;
    for (std::uint32_t t = 0; t < n; ++t) {
        for (int k = 0; k < 3; ++k) {
            const Vec3 p = model.mesh.corner(first_triangle(model, a) + t, k);
            const Vec3 q = model.mesh.corner(first_triangle(model, b) + t, k);
            if ((move(p) - q).cwiseAbs().maxCoeff() > same_corner_m) return false;
        }
    }
    return true;
}

}  // namespace

bool are_congruent(const Model& model, std::span<const BodyId> a, std::span<const BodyId> b) {
    if (a.size() != b.size() || a.empty()) return false;
    const auto body = [&](BodyId id) -> const Body& { return model.bodies[id.index()]; };
    for (std::size_t k = 0; k < a.size(); ++k) {
        if (body(a[k]).part != body(b[k]).part || body(a[k]).n_faces != body(b[k]).n_faces ||
            body(a[k]).n_faces == 0) {
            return false;
        }
    }
    const Body &first_a = body(a[0]), &first_b = body(b[0]);
    if (n_triangles(model, first_a) != n_triangles(model, first_b) ||
        n_triangles(model, first_a) == 0) {
        return false;
    }
    const auto [t, k] = farthest_corner(model, first_a);
    const std::uint32_t at_a = first_triangle(model, first_a),
                        at_b = first_triangle(model, first_b);
    const auto move = move_between(model.mesh.corner(at_a, 0), model.mesh.corner(at_a + t, k),
                                   model.mesh.corner(at_b, 0), model.mesh.corner(at_b + t, k));
    if (!move) return false;
    for (std::size_t i = 0; i < a.size(); ++i) {
        if (!is_moved(model, body(a[i]), body(b[i]), *move)) return false;
    }
    return true;
}

}  // namespace noonshell
