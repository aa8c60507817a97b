#include "geometry/visibility.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "geometry/body_measure.hpp"

namespace noonshell {

namespace {

/// Rays start this far off their face [m]: above rounding at 1 km from the origin, below the
/// thinnest sheet. Where two bodies touch, the start lies inside the other one, and its far side
/// blocks the view.
constexpr double start_offset_m = 1e-5;

constexpr double area_per_point_m2 = 0.25;
constexpr std::size_t least_points_of_face = 8, most_points_of_face = 32;
constexpr std::size_t rays_all_round = 8, rays_ahead = 8;
constexpr double ahead_angle_deg = 20;

/// Faces along the edge of what is before them see half of what lies ahead (0.40 to 0.53), boards
/// between cross-members 0.60 to 0.75 of it: the limit stands clear of both.
constexpr double least_ahead = 0.565, least_with_ahead = 0.15;
/// A view this near to a limit of is_outer() is looked at with so many times the points: chance
/// must not tell a face from its mirror image.
constexpr double close_call = 0.15;
constexpr std::size_t close_call_factor = 32;

/// Cells of a room may reach over its walls by a diagonal [cells], and this beyond [m].
constexpr double before_room_cells = 1.1, before_room_m = 0.02;

constexpr std::size_t rays_around_point = 32;

/// The additive recurrence of [roberts2018] in four dimensions: point n has the coordinates
/// frac(n / g^k), g being the positive root of x^5 = x + 1.
std::array<double, 4> sequence_point(std::size_t n) {
    constexpr double g = 1.1673039782614187;
    std::array<double, 4> point{};
    double step = 1;
    for (double& x : point) {
        step /= g;
        x = std::fmod(0.5 + step * static_cast<double>(n + 1), 1.0);
    }
    return point;
}

Vec3 around(const Vec3& normal, double cosine, double turn) {
    const double radius = std::sqrt(std::max(0.0, 1 - cosine * cosine));
    const double angle = 2 * std::numbers::pi * turn;
    const Vec3 u = normal.unitOrthogonal(), v = normal.cross(u);
    return (radius * std::cos(angle)) * u + (radius * std::sin(angle)) * v + cosine * normal;
}

using Triangle = std::array<Vec3, 3>;

/// Triangles of one face with running areas, so that points can be drawn evenly.
class FacePoints {
  public:
    explicit FacePoints(std::vector<Triangle> triangles) : triangles_(std::move(triangles)) {
        for (const Triangle& triangle : triangles_) {
            total_ += area_vector(triangle).norm() / 2;
            running_.push_back(total_);
        }
    }
    double area_m2() const { return total_; }

    struct Point {
        Vec3 at_m, normal;
    };
    Point draw(double pick, double a, double b) const {
        const auto found = std::upper_bound(running_.begin(), running_.end(), pick * total_);
        const auto t =
            std::min(static_cast<std::size_t>(found - running_.begin()), triangles_.size() - 1);
        const Triangle& triangle = triangles_[t];
        // Fold the unit square onto the triangle.
        if (a + b > 1) {
            a = 1 - a;
            b = 1 - b;
        }
        const Vec3& origin = triangle[0];
        return {origin + a * (triangle[1] - origin) + b * (triangle[2] - origin),
                area_vector(triangle).normalized()};
    }

  private:
    static Vec3 area_vector(const Triangle& triangle) {
        return (triangle[1] - triangle[0]).cross(triangle[2] - triangle[0]);
    }

    std::vector<Triangle> triangles_;
    std::vector<double> running_;
    double total_ = 0;
};

/// The view from one side of a face, point by point.
class View {
  public:
    View(const RayMesh& mesh, const RoomPlan& room)
        : mesh_(mesh),
          room_(room),
          before_m_(before_room_m + before_room_cells * std::hypot(room.step_u_m, room.step_v_m)) {}

    void add(std::size_t point, const Vec3& from_m, const Vec3& normal) {
        static const double ahead_cosine = std::cos(ahead_angle_deg * std::numbers::pi / 180);
        const Vec3 start = from_m + start_offset_m * normal;
        for (std::size_t r = 0; r < rays_all_round; ++r) {
            const auto way = sequence_point(point * rays_all_round + r);
            const Vec3 direction = around(normal, std::sqrt(1 - way[3]), way[0]);
            open_all_round_ += mesh_.blocked(start, direction, 0) ? 0 : 1;
        }
        for (std::size_t r = 0; r < rays_ahead; ++r) {
            const auto way = sequence_point(point * rays_ahead + r);
            const Vec3 direction = around(normal, 1 - way[2] * (1 - ahead_cosine), way[1]);
            open_ahead_ += mesh_.blocked(start, direction, 0) ? 0 : 1;
        }
        const Vec3 before = from_m + before_m_ * normal;
        const bool indoors = room_.holds(before), in_loggia = room_.holds_in_loggia(before);
        if ((indoors || in_loggia) && !mesh_.blocked(start, normal, 0, before_m_)) {
            indoors_ += indoors ? 1 : 0;
            in_loggia_ += in_loggia ? 1 : 0;
        }
        ++n_;
    }
    Openness result() const {
        const auto n = static_cast<double>(n_);
        return {static_cast<double>(open_all_round_) / (n * static_cast<double>(rays_all_round)),
                static_cast<double>(open_ahead_) / (n * static_cast<double>(rays_ahead)),
                static_cast<double>(indoors_) / n, static_cast<double>(in_loggia_) / n};
    }

  private:
    const RayMesh& mesh_;
    const RoomPlan& room_;
    double before_m_;  ///< where the room is looked for: no outer face stands so near to a cell
    std::size_t n_ = 0, open_all_round_ = 0, open_ahead_ = 0, indoors_ = 0, in_loggia_ = 0;
};

bool is_close_call(const Openness& seen) {
    return std::abs(seen.all_round - enough_all_round) < close_call ||
           (std::abs(seen.ahead - least_ahead) < close_call &&
            seen.all_round > least_with_ahead - close_call) ||
           (seen.ahead > least_ahead && std::abs(seen.all_round - least_with_ahead) < close_call);
}

FaceOpenness openness_of(const FacePoints& face, const RayMesh& mesh, bool both_sides,
                         const RoomPlan& room) {
    if (!(face.area_m2() > 0)) return {};
    const auto n = std::clamp(static_cast<std::size_t>(face.area_m2() / area_per_point_m2),
                              least_points_of_face, most_points_of_face);
    View front(mesh, room), behind(mesh, room);
    const auto look = [&](std::size_t first, std::size_t end) {
        for (std::size_t p = first; p < end; ++p) {
            const auto at = sequence_point(p);
            const FacePoints::Point point = face.draw(at[0], at[1], at[2]);
            front.add(p, point.at_m, point.normal);
            if (both_sides) behind.add(p, point.at_m, -point.normal);
        }
    };
    look(0, n);
    if (is_close_call(front.result()) || (both_sides && is_close_call(behind.result()))) {
        look(n, close_call_factor * n);
    }
    return {front.result(), both_sides ? behind.result() : Openness{}};
}

std::vector<Triangle> triangles_of(const Model& model, const Face& face) {
    std::vector<Triangle> triangles;
    for (std::uint32_t t = face.first_triangle; t < face.first_triangle + face.n_triangles; ++t) {
        triangles.push_back(
            {model.mesh.corner(t, 0), model.mesh.corner(t, 1), model.mesh.corner(t, 2)});
    }
    return triangles;
}

}  // namespace

FaceOpenness openness_of_patch(const Patch& patch, const RayMesh& mesh, bool both_sides) {
    std::vector<Triangle> triangles;
    for (const ConvexPolygon& polygon : patch.outline) {
        const auto at = [&](std::size_t k) { return patch.frame.to_space(polygon[k]); };
        for (std::size_t k = 1; k + 1 < polygon.size(); ++k)
            triangles.push_back({at(0), at(k), at(k + 1)});
    }
    return openness_of(FacePoints(std::move(triangles)), mesh, both_sides, {});
}

bool is_outer(const Openness& seen) {
    if (seen.indoors > most_indoors) return false;
    if (seen.in_loggia > most_indoors) return true;
    return seen.all_round >= enough_all_round ||
           (seen.ahead >= least_ahead && seen.all_round >= least_with_ahead);
}

std::vector<RayMesh::Triangle> ray_triangles(const Model& model, std::span<const BodyId> bodies) {
    std::vector<RayMesh::Triangle> triangles;
    for (const BodyId id : bodies) {
        const Body& body = model.bodies[id.index()];
        const bool matter = body.solid && !is_filled_room(measure_body(model, id));
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            const Face& face = model.faces[f];
            for (std::uint32_t t = 0; t < face.n_triangles; ++t) {
                const std::uint32_t at = face.first_triangle + t;
                triangles.push_back(
                    {{model.mesh.corner(at, 0), model.mesh.corner(at, 1), model.mesh.corner(at, 2)},
                     matter,
                     id.value});
            }
        }
    }
    return triangles;
}

RayMesh ray_mesh_of(const Model& model, std::span<const BodyId> bodies) {
    return RayMesh(ray_triangles(model, bodies));
}

std::vector<FaceOpenness> openness_of_faces(const Model& model, std::span<const BodyId> bodies,
                                            const RayMesh& mesh, const RoomPlan& room) {
    std::vector<FaceOpenness> openness;
    for (const BodyId id : bodies) {
        const Body& body = model.bodies[id.index()];
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            openness.push_back(openness_of(FacePoints(triangles_of(model, model.faces[f])), mesh,
                                           !body.solid, room));
        }
    }
    return openness;
}

double openness_of_point(const RayMesh& mesh, const Vec3& point_m) {
    std::size_t open = 0;
    for (std::size_t r = 0; r < rays_around_point; ++r) {
        const auto at = sequence_point(r);
        const double z = 2 * at[0] - 1, angle = 2 * std::numbers::pi * at[1];
        const double radius = std::sqrt(std::max(0.0, 1 - z * z));
        const Vec3 direction(radius * std::cos(angle), radius * std::sin(angle), z);
        open += mesh.blocked(point_m, direction, 0) ? 0 : 1;
    }
    return static_cast<double>(open) / static_cast<double>(rays_around_point);
}

}  // namespace noonshell
