#include "geometry/enclosure.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

constexpr std::size_t most_lines = 40000;

/// In the plane of an open end half of all directions are open; the rest is for the count of rays.
constexpr double most_mouth_openness = 0.5 + 1.5 / 32;

/// Crossings of an upright line that are nearer to each other are one [m].
constexpr double same_height_m = 1e-6;

/// Deep inside a room; folds of a wall see more of the open from without.
constexpr double well_enclosed_openness = 0.2;

/// The axis in plan that most upright area faces: lines along it meet whole walls.
Vec3 wall_axis(const Model& model, std::span<const BodyId> bodies) {
    // Doubling the angle turns the four sides of a box into one direction.
    double c = 0, s = 0;
    for (const BodyId id : bodies) {
        const Body& body = model.bodies[id.index()];
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            const Face& face = model.faces[f];
            for (std::uint32_t k = 0; k < face.n_triangles; ++k) {
                const std::uint32_t t = face.first_triangle + k;
                const Vec3 n = (model.mesh.corner(t, 1) - model.mesh.corner(t, 0))
                                   .cross(model.mesh.corner(t, 2) - model.mesh.corner(t, 0));
                const double level = std::hypot(n.x(), n.y());
                if (level < 0.7 * n.norm()) continue;
                const double angle = 4 * std::atan2(n.y(), n.x());
                c += level * std::cos(angle);
                s += level * std::sin(angle);
            }
        }
    }
    const double angle = std::atan2(s, c) / 4;
    return {std::cos(angle), std::sin(angle), 0};
}

/// Free heights in the plan, on a grid along the walls.
class PlanLines {
  public:
    PlanLines(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
              double ground_z_m)
        : mesh_(mesh),
          ground_z_m_(ground_z_m),
          u_(wall_axis(model, bodies)),
          v_(-u_.y(), u_.x(), 0) {
        low_ = Vec3::Constant(std::numeric_limits<double>::infinity());
        high_ = -low_;
        for (const BodyId id : bodies) {
            const Body& body = model.bodies[id.index()];
            for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
                const Face& face = model.faces[f];
                for (std::uint32_t t = 0; t < face.n_triangles; ++t) {
                    for (int k = 0; k < 3; ++k) {
                        const Vec3 p = model.mesh.corner(face.first_triangle + t, k);
                        const Vec3 q(p.dot(u_), p.dot(v_), p.z());
                        low_ = low_.cwiseMin(q);
                        high_ = high_.cwiseMax(q);
                    }
                }
            }
        }
        const Vec3 size = high_ - low_;
        step_m_ = std::max(enclosure_line_step_m,
                           std::sqrt(size.x() * size.y() / static_cast<double>(most_lines)));
        n_u_ = std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(size.x() / step_m_)));
        n_v_ = std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(size.y() / step_m_)));
    }

    Enclosure measure(RoomPlan* plan) {
        const Vec3 size = high_ - low_;
        if (!(size.z() >= least_room_height_m)) return {};
        const double cell_m2 =
            size.x() * size.y() / static_cast<double>(n_u_) / static_cast<double>(n_v_);
        std::vector<double> height(n_u_ * n_v_, 0.0);
        std::vector<std::vector<FreeHeight>> free(height.size());
        for (std::size_t i = 0; i < height.size(); ++i) {
            free[i] = free_heights(i % n_u_, i / n_u_);
            const auto found = std::ranges::find_if(
                free[i], [](const FreeHeight& f) { return f.openness <= most_room_openness; });
            if (found == free[i].end()) continue;
            take(*found, i, height, free);
        }
        grow_to_mouths(height, free);
        fill_joints(height, free);
        Enclosure room;
        for (const double h : height) {
            if (h <= 0) continue;
            room.floor_area_m2 += cell_m2;
            room.volume_m3 += cell_m2 * h;
        }
        room.n_rooms = count_parts(height, cell_m2);
        if (plan != nullptr) *plan = plan_of(height, free);
        return room;
    }

  private:
    /// A stretch of an upright line without matter, high enough for a room.
    struct FreeHeight {
        double low_m = 0, high_m = 0;  ///< above the line's foot
        Vec3 middle_m{0, 0, 0};
        double openness = 1;  ///< of its middle
    };

    struct SeenPoint {
        Vec3 at_m;
        double openness;
    };

    RoomPlan plan_of(const std::vector<double>& height,
                     const std::vector<std::vector<FreeHeight>>& free) const {
        const Vec3 size = high_ - low_;
        RoomPlan plan{.u = u_,
                      .v = v_,
                      .low_u_m = low_.x(),
                      .low_v_m = low_.y(),
                      .step_u_m = size.x() / static_cast<double>(n_u_),
                      .step_v_m = size.y() / static_cast<double>(n_v_),
                      .n_u = n_u_,
                      .n_v = n_v_,
                      .heights_m = {}};
        plan.heights_m.resize(height.size());
        for (std::size_t i = 0; i < height.size(); ++i) {
            if (height[i] <= 0 || free[i].size() != 1) continue;
            const double foot_m = foot_of(i % n_u_, i / n_u_).z();
            plan.heights_m[i] = {foot_m + free[i].front().low_m, foot_m + free[i].front().high_m};
        }
        return plan;
    }

    static void take(const FreeHeight& chosen, std::size_t cell, std::vector<double>& height,
                     std::vector<std::vector<FreeHeight>>& free) {
        height[cell] = chosen.high_m - chosen.low_m;
        free[cell].assign(1, chosen);
    }

    /// Near an open end more of the directions are open, up to half of them in the end's own plane:
    /// from what is well enclosed the room reaches as far as that, where nothing stands between.
    /// What it does not reach is no room: folds of a wall, seen from without.
    void grow_to_mouths(std::vector<double>& height,
                        std::vector<std::vector<FreeHeight>>& free) const {
        std::vector<std::uint8_t> reached(height.size(), 0);
        std::vector<std::size_t> border;
        for (std::size_t i = 0; i < height.size(); ++i) {
            if (height[i] <= 0 || free[i].front().openness > well_enclosed_openness) continue;
            reached[i] = 1;
            border.push_back(i);
        }
        if (border.empty()) return;
        while (!border.empty()) {
            const std::size_t at = border.back();
            border.pop_back();
            const FreeHeight here = free[at].front();
            for_each_neighbour(at, [&](std::size_t to) {
                if (reached[to] != 0) return;
                const auto found = std::ranges::find_if(free[to], [&](const FreeHeight& f) {
                    const double shared =
                        std::min(f.high_m, here.high_m) - std::max(f.low_m, here.low_m);
                    return f.openness <= most_mouth_openness && shared >= least_room_height_m &&
                           !is_between(here.middle_m, f.middle_m);
                });
                if (found == free[to].end()) return;
                take(*found, to, height, free);
                reached[to] = 1;
                border.push_back(to);
            });
        }
        for (std::size_t i = 0; i < height.size(); ++i) {
            if (reached[i] == 0) height[i] = 0;
        }
    }

    /// Lines that slip through an open joint of roof or floor end nowhere: such a cell has room on
    /// two opposite sides, and nothing stands between their middles and its own line.
    void fill_joints(std::vector<double>& height,
                     const std::vector<std::vector<FreeHeight>>& free) const {
        const std::vector<double> found = height;
        const auto fill = [&](std::size_t at, std::size_t before, std::size_t after) {
            if (height[at] > 0 || found[before] <= 0 || found[after] <= 0) return;
            const FreeHeight &p = free[before].front(), &q = free[after].front();
            Vec3 here = foot_of(at % n_u_, at / n_u_);
            here.z() = (p.middle_m.z() + q.middle_m.z()) / 2;
            if (is_between(p.middle_m, here) || is_between(q.middle_m, here)) return;
            height[at] = (found[before] + found[after]) / 2;
        };
        for (std::size_t at = 0; at < height.size(); ++at) {
            if (at % n_u_ > 0 && at % n_u_ + 1 < n_u_) fill(at, at - 1, at + 1);
            if (at >= n_u_ && at + n_u_ < height.size()) fill(at, at - n_u_, at + n_u_);
        }
    }

    template <class Visit>
    void for_each_neighbour(std::size_t at, const Visit& visit) const {
        if (at % n_u_ > 0) visit(at - 1);
        if (at % n_u_ + 1 < n_u_) visit(at + 1);
        if (at >= n_u_) visit(at - n_u_);
        if (at + n_u_ < n_u_ * n_v_) visit(at + n_u_);
    }

    bool is_between(const Vec3& from_m, const Vec3& to_m) const {
        const Vec3 way = to_m - from_m;
        return mesh_.blocked(from_m, way.normalized(), 0, way.norm());
    }

    /// Where the line of a cell stands, below all matter.
    Vec3 foot_of(std::size_t column, std::size_t row) const {
        // A jitter that repeats: the golden ratio spreads neighbouring lines over their cells.
        constexpr double golden = 0.6180339887498949;
        const auto spread = [&](std::size_t n) {
            return std::fmod(golden * static_cast<double>(n) + 0.5, 1.0);
        };
        const double a = low_.x() + (high_.x() - low_.x()) *
                                        (static_cast<double>(column) + spread(row)) /
                                        static_cast<double>(n_u_);
        const double b = low_.y() + (high_.y() - low_.y()) *
                                        (static_cast<double>(row) + spread(column)) /
                                        static_cast<double>(n_v_);
        return a * u_ + b * v_ + Vec3(0, 0, low_.z() - 1);
    }

    /// All free heights over one cell, from below.
    std::vector<FreeHeight> free_heights(std::size_t column, std::size_t row) {
        const Vec3 foot = foot_of(column, row);
        const double below = foot.z();
        auto hits = mesh_.crossings(foot, Vec3(0, 0, 1));
        if (!std::isnan(ground_z_m_) && ground_z_m_ > below) {
            hits.insert(hits.begin(), {ground_z_m_ - below, false});
        }
        std::vector<FreeHeight> all;
        for (std::size_t k = 1; k < hits.size(); ++k) {
            const double low = hits[k - 1].distance_m, high = hits[k].distance_m;
            if (high - low < least_room_height_m) continue;
            // Where one body stands on another, one ends and the other begins, in either order.
            bool matter = false;
            for (std::size_t j = k; j-- > 0 && low - hits[j].distance_m < same_height_m;)
                matter = matter || hits[j].into_solid;
            if (matter) continue;
            const Vec3 middle = foot + Vec3(0, 0, (low + high) / 2);
            all.push_back({low, high, middle, openness(column, row, middle, low, high)});
        }
        return all;
    }

    /// Openness of the middle of a free height. Lines of one block with nearly the same free height
    /// share the answer of the first, where nothing stands between.
    double openness(std::size_t column, std::size_t row, const Vec3& middle, double low,
                    double high) {
        constexpr std::size_t block = 4;
        constexpr double alike_m = 0.1;
        const std::array<long, 4> key{static_cast<long>(column / block),
                                      static_cast<long>(row / block), std::lround(low / alike_m),
                                      std::lround(high / alike_m)};
        auto& known = openness_[key];
        for (const SeenPoint& other : known) {
            if (!is_between(other.at_m, middle)) return other.openness;
        }
        known.push_back({middle, openness_of_point(mesh_, middle)});
        return known.back().openness;
    }

    /// Parts of at least a square metre that hang together by their edges.
    int count_parts(std::vector<double> height, double cell_m2) const {
        int parts = 0;
        std::vector<std::size_t> open;
        for (std::size_t start = 0; start < height.size(); ++start) {
            if (height[start] <= 0) continue;
            std::size_t cells = 0;
            open.assign(1, start);
            height[start] = 0;
            while (!open.empty()) {
                const std::size_t at = open.back();
                open.pop_back();
                ++cells;
                for_each_neighbour(at, [&](std::size_t to) {
                    if (height[to] <= 0) return;
                    height[to] = 0;
                    open.push_back(to);
                });
            }
            parts += static_cast<double>(cells) * cell_m2 >= 1 ? 1 : 0;
        }
        return parts;
    }

    const RayMesh& mesh_;
    double ground_z_m_;
    Vec3 u_, v_;
    Vec3 low_, high_;  ///< along u, v and z
    double step_m_ = 0;
    std::size_t n_u_ = 1, n_v_ = 1;
    std::map<std::array<long, 4>, std::vector<SeenPoint>> openness_;
};

}  // namespace

Enclosure measure_enclosure(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
                            double ground_z_m, RoomPlan* plan) {
    if (mesh.n_triangles() == 0) return {};
    return PlanLines(model, bodies, mesh, ground_z_m).measure(plan);
}

}  // namespace noonshell
