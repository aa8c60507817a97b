#include "geometry/enclosure.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <utility>
#include <vector>

#include "geometry/line_stretches.hpp"
#include "geometry/room_space.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

constexpr std::size_t most_lines = 40000;

/// In the plane of an open end half of all directions are open; the rest is for the count of rays.
constexpr double most_mouth_openness = 0.5 + 1.5 / 32;

/// Deep inside a room; folds of a wall see more of the open from without.
constexpr double well_enclosed_openness = 0.2;

/// What is open to two sides is taken for a shelter, unless the user says that it is a room.
constexpr int walls_of_room = 3;

/// Share of a part's plan that lies close to the open: less behind a doorway (0.007 for one of 0.9
/// m in a room of 6 by 2.4 m), more in a loggia (0.12 where it is 2.4 m deep and wide).
constexpr double most_doorway_share = 0.03, least_loggia_share = 0.08;

/// Of what lies open by less than this no chamber can be a loggia worth the search.
constexpr double least_parted_share = 0.01;

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
              double ground_z_m, int least_walls)
        : mesh_(mesh),
          ground_z_m_(ground_z_m),
          least_walls_(least_walls),
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
        PlanCells cells;
        cells.n_u = n_u_;
        cells.n_v = n_v_;
        cells.u = u_;
        cells.size_m =
            std::max(size.x() / static_cast<double>(n_u_), size.y() / static_cast<double>(n_v_));
        cells.area_m2 = size.x() * size.y() / static_cast<double>(n_u_ * n_v_);
        for (std::size_t i = 0; i < n_u_ * n_v_; ++i) {
            cells.free.push_back(free_heights(i % n_u_, i / n_u_));
        }
        grow_to_mouths(cells);
        drop_hollows(cells, mesh_);
        fill_joints(cells);
        const std::vector<RoomPart> parts = room_parts(cells, mesh_, least_room_height_m);
        Enclosure room;
        room.loggia_m2 = drop_loggias(cells, parts);
        for (const auto& heights : cells.free) {
            for (const FreeHeight& free : heights) {
                if (!free.in_room) continue;
                if (free.openness > most_room_openness) room.mouth_share += cells.area_m2;
                room.floor_area_m2 += cells.area_m2;
                room.volume_m3 += cells.area_m2 * free.height_m();
            }
        }
        if (room.floor_area_m2 > 0) room.mouth_share /= room.floor_area_m2;
        room.n_rooms = static_cast<int>(std::ranges::count_if(parts, [&](const RoomPart& part) {
            const auto n = std::ranges::count_if(
                part.free, [&](const auto& at) { return cells.free[at.first][at.second].in_room; });
            return static_cast<double>(n) * cells.area_m2 >= least_room_m2;
        }));
        if (plan != nullptr) *plan = plan_of(cells, room.loggia_m2 > 0);
        return room;
    }

  private:
    struct SeenPoint {
        Vec3 at_m;
        double openness;
    };

    RoomPlan plan_of(const PlanCells& cells, bool with_loggias) const {
        const Vec3 size = high_ - low_;
        RoomPlan plan{.u = u_,
                      .v = v_,
                      .low_u_m = low_.x(),
                      .low_v_m = low_.y(),
                      .step_u_m = size.x() / static_cast<double>(n_u_),
                      .step_v_m = size.y() / static_cast<double>(n_v_),
                      .n_u = n_u_,
                      .n_v = n_v_,
                      .storeys_m = {}};
        plan.storeys_m.resize(cells.free.size());
        if (with_loggias) plan.loggias_m.resize(cells.free.size());
        for (std::size_t i = 0; i < cells.free.size(); ++i) {
            const double foot_m = foot_of(i % n_u_, i / n_u_).z();
            for (const FreeHeight& free : cells.free[i]) {
                const std::array<double, 2> ends_m{foot_m + free.low_m, foot_m + free.high_m};
                if (free.in_room) plan.storeys_m[i].push_back(ends_m);
                if (free.in_loggia) plan.loggias_m[i].push_back(ends_m);
            }
            std::ranges::sort(plan.storeys_m[i]);
        }
        return plan;
    }

    /// A loggia is open to a side; the room behind it has a doorway at most, to the open or to the
    /// loggia. Hands out how much was taken out of the room [m2].
    double drop_loggias(PlanCells& cells, std::span<const RoomPart> parts) const {
        const auto mouth_share = [&](const RoomPart& part) {
            const auto n = std::ranges::count_if(part.free, [&](const auto& at) {
                return cells.free[at.first][at.second].openness > most_room_openness;
            });
            return static_cast<double>(n) / static_cast<double>(part.free.size());
        };
        std::vector<RoomPart> chambers;
        for (const RoomPart& part : parts) {
            if (mouth_share(part) < least_parted_share) {
                chambers.push_back(part);
                continue;
            }
            for (RoomPart& chamber : parted_at_doorways(part, cells, mesh_, least_room_height_m))
                chambers.push_back(std::move(chamber));
        }
        const bool any_closed = std::ranges::any_of(chambers, [&](const RoomPart& part) {
            return part.area_m2 >= least_room_m2 && mouth_share(part) < most_doorway_share;
        });
        if (!any_closed) return 0;
        double dropped_m2 = 0;
        for (const RoomPart& part : chambers) {
            if (part.area_m2 < least_room_m2 || mouth_share(part) < least_loggia_share) continue;
            for (const auto& [at, k] : part.free) {
                cells.free[at][k].in_room = false;
                cells.free[at][k].in_loggia = true;
            }
            dropped_m2 += part.area_m2;
        }
        return dropped_m2;
    }

    /// How wide free heights border on those that are of the room.
    double room_border_m(const PlanCells& cells,
                         const std::vector<std::pair<std::size_t, std::size_t>>& of) const {
        double border_m = 0;
        for (const auto& [at, k] : of) {
            const FreeHeight& here = cells.free[at][k];
            cells.for_each_neighbour(at, [&](std::size_t to) {
                for (const FreeHeight& there : cells.free[to]) {
                    if (there.in_room && shared_height_m(here, there) >= least_room_height_m &&
                        !is_between(here.middle_m, there.middle_m))
                        border_m += cells.size_m;
                }
            });
        }
        return border_m;
    }

    /// Near an open end more of the directions are open, up to half of them in the end's own plane:
    /// from what is well enclosed the room reaches as far as that, where nothing stands between and
    /// walls stand to both sides: a roofed terrace before a doorway is no room. What it does not
    /// reach is none either: folds of a wall, seen from without. Where nothing is well enclosed,
    /// what is enclosed counts.
    void grow_to_mouths(PlanCells& cells) const {
        std::vector<std::pair<std::size_t, std::size_t>> border, between_few;
        for (std::size_t i = 0; i < cells.free.size(); ++i) {
            for (std::size_t k = 0; k < cells.free[i].size(); ++k) {
                if (cells.free[i][k].openness > well_enclosed_openness) continue;
                const int walls = n_walls(cells.free[i][k]);
                if (walls >= std::max(least_walls_, walls_of_room))
                    border.emplace_back(i, k);
                else if (walls >= least_walls_)
                    between_few.emplace_back(i, k);
            }
        }
        for (const auto& [at, k] : border) cells.free[at][k].in_room = true;
        // A shelter that the user takes for a room is one; the roofed terrace of a room is none.
        if (static_cast<double>(border.size()) * cells.area_m2 < least_room_m2 ||
            room_border_m(cells, between_few) > widest_doorway_m) {
            for (const auto& [at, k] : between_few) cells.free[at][k].in_room = true;
            border.insert(border.end(), between_few.begin(), between_few.end());
        }
        if (border.empty()) {
            for (auto& heights : cells.free) {
                for (FreeHeight& free : heights)
                    free.in_room =
                        free.openness <= most_room_openness && n_walls(free) >= least_walls_;
            }
        }
        while (!border.empty()) {
            const auto [at, from] = border.back();
            border.pop_back();
            const FreeHeight here = cells.free[at][from];
            cells.for_each_neighbour(at, [&](std::size_t to) {
                for (std::size_t k = 0; k < cells.free[to].size(); ++k) {
                    FreeHeight& there = cells.free[to][k];
                    if (there.in_room || there.openness > most_mouth_openness ||
                        shared_height_m(here, there) < least_room_height_m ||
                        is_between(here.middle_m, there.middle_m) ||
                        !is_between_walls(there.middle_m)) {
                        continue;
                    }
                    there.in_room = true;
                    border.emplace_back(to, k);
                }
            });
        }
    }

    /// Lines that slip through an open joint of roof or floor end nowhere: such a cell has room on
    /// two opposite sides, and nothing stands between their middles and its own line.
    void fill_joints(PlanCells& cells) const {
        std::vector<std::pair<std::size_t, FreeHeight>> filled;
        const auto fill = [&](std::size_t at, const FreeHeight& p, const FreeHeight& q) {
            if (!p.in_room || !q.in_room || shared_height_m(p, q) < least_room_height_m) return;
            const auto is_there = [&](const FreeHeight& f) {
                return f.in_room && shared_height_m(f, p) > 0;
            };
            if (std::ranges::any_of(cells.free[at], is_there)) return;
            if (!filled.empty() && filled.back().first == at && is_there(filled.back().second))
                return;
            Vec3 here = foot_of(at % n_u_, at / n_u_);
            here.z() = (p.middle_m.z() + q.middle_m.z()) / 2;
            if (is_between(p.middle_m, here) || is_between(q.middle_m, here)) return;
            const FreeHeight joint{(p.low_m + q.low_m) / 2, (p.high_m + q.high_m) / 2, here, 0,
                                   true};
            filled.emplace_back(at, joint);
        };
        const auto fill_between = [&](std::size_t at, std::size_t before, std::size_t after) {
            for (const FreeHeight& p : cells.free[before]) {
                for (const FreeHeight& q : cells.free[after]) fill(at, p, q);
            }
        };
        for (std::size_t at = 0; at < cells.free.size(); ++at) {
            if (at % n_u_ > 0 && at % n_u_ + 1 < n_u_) fill_between(at, at - 1, at + 1);
            if (at >= n_u_ && at + n_u_ < cells.free.size()) fill_between(at, at - n_u_, at + n_u_);
        }
        for (const auto& [at, joint] : filled) cells.free[at].push_back(joint);
    }

    /// To how many of the four sides walls stand. A room has three at least: a roof between two
    /// buildings, a shelter with a back is none. Window holes do no harm: a wall stands where it is
    /// met at two of three heights.
    int n_walls(const FreeHeight& free) const {
        constexpr std::array<double, 3> levels = {-0.4, 0.0, 0.4};  // shares from the middle
        constexpr int least_met = 2;
        int walls = 0;
        for (const Vec3& way : {u_, Vec3(-u_), v_, Vec3(-v_)}) {
            const auto met = std::ranges::count_if(levels, [&](double level) {
                const Vec3 from = free.middle_m + Vec3(0, 0, level * free.height_m());
                return mesh_.blocked(from, way, 0);
            });
            walls += met >= least_met ? 1 : 0;
        }
        return walls;
    }

    bool is_between_walls(const Vec3& at_m) const {
        const auto both = [&](const Vec3& way) {
            return mesh_.blocked(at_m, way, 0) && mesh_.blocked(at_m, -way, 0);
        };
        return both(u_) || both(v_);
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
            hits.insert(hits.begin(), RayMesh::Crossing{ground_z_m_ - below});
        }
        std::vector<FreeHeight> all;
        for (const auto& [low, high] : free_stretches(hits, least_room_height_m)) {
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

    const RayMesh& mesh_;
    double ground_z_m_;
    int least_walls_;
    Vec3 u_, v_;
    Vec3 low_, high_;  ///< along u, v and z
    double step_m_ = 0;
    std::size_t n_u_ = 1, n_v_ = 1;
    std::map<std::array<long, 4>, std::vector<SeenPoint>> openness_;
};

}  // namespace

Vec3 RoomPlan::middle_of(std::size_t cell) const {
    const std::size_t column = cell % n_u, row = cell / n_u;
    return (low_u_m + (static_cast<double>(column) + 0.5) * step_u_m) * u +
           (low_v_m + (static_cast<double>(row) + 0.5) * step_v_m) * v;
}

bool RoomPlan::holds(const std::vector<std::vector<std::array<double, 2>>>& heights_m,
                     const Vec3& point_m) const {
    if (heights_m.empty()) return false;
    const double column = std::floor((point_m.dot(u) - low_u_m) / step_u_m);
    const double row = std::floor((point_m.dot(v) - low_v_m) / step_v_m);
    if (!(column >= 0 && row >= 0 && column < static_cast<double>(n_u) &&
          row < static_cast<double>(n_v))) {
        return false;
    }
    const std::size_t cell = static_cast<std::size_t>(row) * n_u + static_cast<std::size_t>(column);
    return std::ranges::any_of(heights_m[cell], [&](const std::array<double, 2>& ends_m) {
        return ends_m[0] <= point_m.z() && point_m.z() <= ends_m[1];
    });
}

Enclosure measure_enclosure(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
                            double ground_z_m, RoomPlan* plan, int least_walls) {
    if (mesh.n_triangles() == 0) return {};
    return PlanLines(model, bodies, mesh, ground_z_m, least_walls).measure(plan);
}

}  // namespace noonshell
