#include "geometry/enclosure.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "geometry/body_measure.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

constexpr std::size_t most_lines = 40000;

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

    Enclosure measure() {
        const Vec3 size = high_ - low_;
        if (!(size.z() >= least_room_height_m)) return {};
        const double cell_m2 =
            size.x() * size.y() / static_cast<double>(n_u_) / static_cast<double>(n_v_);
        std::vector<double> height(n_u_ * n_v_, 0.0);
        Enclosure room;
        for (std::size_t i = 0; i < height.size(); ++i) {
            height[i] = free_height_m(i % n_u_, i / n_u_);
            if (height[i] <= 0) continue;
            room.floor_area_m2 += cell_m2;
            room.volume_m3 += cell_m2 * height[i];
        }
        room.n_rooms = count_parts(height, cell_m2);
        return room;
    }

  private:
    /// The free height of the room over one cell; 0 where there is none.
    double free_height_m(std::size_t column, std::size_t row) {
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
        const double below = low_.z() - 1;
        const Vec3 foot = a * u_ + b * v_ + Vec3(0, 0, below);
        auto hits = mesh_.crossings(foot, Vec3(0, 0, 1));
        if (!std::isnan(ground_z_m_) && ground_z_m_ > below) {
            hits.insert(hits.begin(), {ground_z_m_ - below, false});
        }
        for (std::size_t k = 1; k < hits.size(); ++k) {
            const double low = hits[k - 1].distance_m, high = hits[k].distance_m;
            if (high - low < least_room_height_m || hits[k - 1].into_solid) continue;
            if (is_enclosed(column, row, foot, low, high)) return high - low;
        }
        return 0;
    }

    /// Whether the middle of a free height is enclosed. Lines of one block with nearly the same
    /// free height share the answer of the first.
    bool is_enclosed(std::size_t column, std::size_t row, const Vec3& foot, double low,
                     double high) {
        constexpr std::size_t block = 4;
        constexpr double alike_m = 0.1;
        const std::array<long, 4> key{static_cast<long>(column / block),
                                      static_cast<long>(row / block), std::lround(low / alike_m),
                                      std::lround(high / alike_m)};
        const auto [found, is_new] = enclosed_.try_emplace(key, false);
        if (is_new) {
            const Vec3 middle = foot + Vec3(0, 0, (low + high) / 2);
            found->second = openness_of_point(mesh_, middle) <= most_room_openness;
        }
        return found->second;
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
                const auto go = [&](bool inside, std::size_t to) {
                    if (!inside || height[to] <= 0) return;
                    height[to] = 0;
                    open.push_back(to);
                };
                go(at % n_u_ > 0, at - 1);
                go(at % n_u_ + 1 < n_u_, at + 1);
                go(at >= n_u_, at - n_u_);
                go(at + n_u_ < height.size(), at + n_u_);
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
    std::map<std::array<long, 4>, bool> enclosed_;
};

}  // namespace

Enclosure measure_enclosure(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
                            double ground_z_m) {
    if (mesh.n_triangles() == 0) return {};
    return PlanLines(model, bodies, mesh, ground_z_m).measure();
}

}  // namespace noonshell
