#include "geometry/room_space.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <numeric>
#include <utility>

namespace noonshell {

namespace {

/// Heights at which a free height is looked across, as shares of it: a window or a doorway must not
/// pass for the width of the cavity in its wall.
constexpr std::array<double, 3> looking_heights = {0.1, 0.5, 0.9};
constexpr int n_across = 4;        ///< directions in half a turn
constexpr int least_clear = 2;     ///< of the looking heights: a doorway, not a window
constexpr double beside_m = 0.25;  ///< farther from the wide part of a room is no corner of it

Vec3 point_at(const FreeHeight& height, double z_m) {
    return {height.middle_m.x(), height.middle_m.y(), z_m};
}

double bottom_z_m(const FreeHeight& height) {
    return height.middle_m.z() - height.height_m() / 2;
}

/// At how many of the looking heights of the stretch that two free heights share nothing stands
/// between.
int n_clear(const FreeHeight& a, const FreeHeight& b, const RayMesh& mesh) {
    const double low = std::max(bottom_z_m(a), bottom_z_m(b));
    const double shared = shared_height_m(a, b);
    int n = 0;
    for (const double share : looking_heights) {
        const double z = low + share * shared;
        const Vec3 from = point_at(a, z), way = point_at(b, z) - from;
        n += mesh.blocked(from, way.normalized(), 0, way.norm()) ? 0 : 1;
    }
    return n;
}

bool is_wide(const FreeHeight& height, const Vec3& u, const RayMesh& mesh) {
    const Vec3 v(-u.y(), u.x(), 0);
    return std::ranges::all_of(looking_heights, [&](double share) {
        const Vec3 from = point_at(height, bottom_z_m(height) + share * height.height_m());
        for (int k = 0; k < n_across; ++k) {
            const double turn = k * std::numbers::pi / n_across;
            const Vec3 way = std::cos(turn) * u + std::sin(turn) * v;
            const double ahead = mesh.free_way_m(from, way, least_room_width_m);
            if (ahead >= least_room_width_m) continue;
            if (ahead + mesh.free_way_m(from, -way, least_room_width_m) < least_room_width_m)
                return false;
        }
        return true;
    });
}

bool is_beside_wide(const PlanCells& cells, const std::vector<std::vector<bool>>& wide,
                    std::size_t at, const FreeHeight& height, const RayMesh& mesh) {
    const auto reach = static_cast<std::ptrdiff_t>(std::ceil(beside_m / cells.size_m));
    const auto n_u = static_cast<std::ptrdiff_t>(cells.n_u);
    const auto n_v = static_cast<std::ptrdiff_t>(cells.n_v);
    const auto u = static_cast<std::ptrdiff_t>(at) % n_u, v = static_cast<std::ptrdiff_t>(at) / n_u;
    for (auto y = std::max<std::ptrdiff_t>(0, v - reach); y <= std::min(n_v - 1, v + reach); ++y) {
        for (auto x = std::max<std::ptrdiff_t>(0, u - reach); x <= std::min(n_u - 1, u + reach);
             ++x) {
            const auto cell = static_cast<std::size_t>(y * n_u + x);
            for (std::size_t k = 0; k < cells.free[cell].size(); ++k) {
                const FreeHeight& other = cells.free[cell][k];
                if (!wide[cell][k] || shared_height_m(height, other) <= 0) continue;
                const Vec3 way = other.middle_m - height.middle_m;
                if (std::hypot(way.x(), way.y()) > beside_m + cells.size_m) continue;
                if (n_clear(height, other, mesh) == static_cast<int>(looking_heights.size()))
                    return true;
            }
        }
    }
    return false;
}

/// Which free heights of a part one can step between.
class PartLinks {
  public:
    PartLinks(const RoomPart& part, const PlanCells& cells, const RayMesh& mesh,
              double least_shared_m)
        : links_(part.free.size()) {
        std::map<std::pair<std::size_t, std::size_t>, std::size_t> number;
        for (std::size_t i = 0; i < part.free.size(); ++i) number.emplace(part.free[i], i);
        for (std::size_t i = 0; i < part.free.size(); ++i) {
            const std::size_t at = part.free[i].first;
            const FreeHeight& here = cells.free[at][part.free[i].second];
            cells.for_each_neighbour(at, [&](std::size_t to) {
                if (to < at) return;
                for (std::size_t j = 0; j < cells.free[to].size(); ++j) {
                    const auto found = number.find({to, j});
                    if (found == number.end()) continue;
                    const FreeHeight& there = cells.free[to][j];
                    if (shared_height_m(here, there) < least_shared_m ||
                        n_clear(here, there, mesh) < least_clear)
                        continue;
                    links_[i].push_back(found->second);
                    links_[found->second].push_back(i);
                }
            });
        }
    }

    const std::vector<std::size_t>& of(std::size_t i) const { return links_[i]; }

  private:
    std::vector<std::vector<std::size_t>> links_;
};

/// Chambers that meet along more than the width of a doorway are one, and what is smaller than a
/// room goes to the chamber beside: a post, a line that slipped through a joint parted them.
void join_chambers(const PartLinks& links, const PlanCells& cells,
                   std::vector<std::size_t>& chamber, std::size_t n_chambers) {
    std::map<std::pair<std::size_t, std::size_t>, int> borders;
    std::vector<double> area_m2(n_chambers, 0);
    for (std::size_t i = 0; i < chamber.size(); ++i) {
        if (chamber[i] < n_chambers) area_m2[chamber[i]] += cells.area_m2;
        for (const std::size_t to : links.of(i)) {
            if (chamber[i] < chamber[to] && chamber[to] < n_chambers)
                ++borders[{chamber[i], chamber[to]}];
        }
    }
    std::vector<std::size_t> joined(n_chambers);
    std::iota(joined.begin(), joined.end(), std::size_t{0});
    for (const auto& [pair, n] : borders) {
        const bool small = std::min(area_m2[pair.first], area_m2[pair.second]) < least_room_m2;
        if (!small && n * cells.size_m <= widest_doorway_m) continue;
        const std::size_t from = joined[pair.second], to = joined[pair.first];
        std::ranges::replace(joined, std::max(from, to), std::min(from, to));
    }
    for (std::size_t& of : chamber) {
        if (of < n_chambers) of = joined[of];
    }
}

}  // namespace

double shared_height_m(const FreeHeight& a, const FreeHeight& b) {
    return std::min(a.high_m, b.high_m) - std::max(a.low_m, b.low_m);
}

void drop_hollows(PlanCells& cells, const RayMesh& mesh) {
    std::vector<std::vector<bool>> wide(cells.free.size());
    for (std::size_t at = 0; at < cells.free.size(); ++at) {
        for (const FreeHeight& height : cells.free[at]) {
            wide[at].push_back(height.in_room && is_wide(height, cells.u, mesh));
        }
    }
    for (std::size_t at = 0; at < cells.free.size(); ++at) {
        for (std::size_t k = 0; k < cells.free[at].size(); ++k) {
            FreeHeight& height = cells.free[at][k];
            if (!height.in_room || wide[at][k]) continue;
            height.in_room = is_beside_wide(cells, wide, at, height, mesh);
        }
    }
}

std::vector<RoomPart> room_parts(const PlanCells& cells, const RayMesh& mesh,
                                 double least_shared_m) {
    std::vector<std::vector<bool>> seen(cells.free.size());
    for (std::size_t at = 0; at < seen.size(); ++at) seen[at].resize(cells.free[at].size(), false);
    std::vector<RoomPart> parts;
    for (std::size_t start = 0; start < cells.free.size(); ++start) {
        for (std::size_t first = 0; first < cells.free[start].size(); ++first) {
            if (seen[start][first] || !cells.free[start][first].in_room) continue;
            seen[start][first] = true;
            RoomPart part;
            part.free.emplace_back(start, first);
            for (std::size_t done = 0; done < part.free.size(); ++done) {
                const auto [at, k] = part.free[done];
                const FreeHeight& here = cells.free[at][k];
                cells.for_each_neighbour(at, [&](std::size_t to) {
                    for (std::size_t j = 0; j < cells.free[to].size(); ++j) {
                        const FreeHeight& there = cells.free[to][j];
                        if (seen[to][j] || !there.in_room) continue;
                        if (shared_height_m(here, there) < least_shared_m) continue;
                        if (n_clear(here, there, mesh) < least_clear) continue;
                        seen[to][j] = true;
                        part.free.emplace_back(to, j);
                    }
                });
            }
            part.area_m2 = static_cast<double>(part.free.size()) * cells.area_m2;
            parts.push_back(std::move(part));
        }
    }
    return parts;
}

std::vector<RoomPart> parted_at_doorways(const RoomPart& part, const PlanCells& cells,
                                         const RayMesh& mesh, double least_shared_m) {
    const PartLinks links(part, cells, mesh, least_shared_m);
    // Steps to the nearest wall or mouth: fewer than half a doorway in what is narrow.
    const std::size_t n = part.free.size();
    std::vector<std::size_t> nearest;
    for (std::size_t i = 0; i < n; ++i) {
        if (links.of(i).size() < 4) nearest.push_back(i);
    }
    std::vector<double> way_m(n, std::numeric_limits<double>::infinity());
    for (const std::size_t i : nearest) way_m[i] = cells.size_m / 2;
    for (std::size_t done = 0; done < nearest.size(); ++done) {
        for (const std::size_t to : links.of(nearest[done])) {
            if (!std::isinf(way_m[to])) continue;
            way_m[to] = way_m[nearest[done]] + cells.size_m;
            nearest.push_back(to);
        }
    }
    const auto is_wide = [&](std::size_t i) { return way_m[i] > widest_doorway_m / 2; };
    constexpr std::size_t none = static_cast<std::size_t>(-1);
    std::vector<std::size_t> chamber(n, none), order;
    std::size_t n_chambers = 0;
    for (std::size_t start = 0; start < n; ++start) {
        if (!is_wide(start) || chamber[start] != none) continue;
        chamber[start] = n_chambers;
        order.push_back(start);
        for (std::size_t done = order.size() - 1; done < order.size(); ++done) {
            for (const std::size_t to : links.of(order[done])) {
                if (!is_wide(to) || chamber[to] != none) continue;
                chamber[to] = n_chambers;
                order.push_back(to);
            }
        }
        ++n_chambers;
    }
    if (n_chambers < 2) return {part};
    for (std::size_t done = 0; done < order.size(); ++done) {
        for (const std::size_t to : links.of(order[done])) {
            if (chamber[to] != none) continue;
            chamber[to] = chamber[order[done]];
            order.push_back(to);
        }
    }
    join_chambers(links, cells, chamber, n_chambers);
    std::vector<RoomPart> chambers(n_chambers);
    for (std::size_t i = 0; i < n; ++i) {
        RoomPart& of = chambers[chamber[i] == none ? 0 : chamber[i]];
        of.free.push_back(part.free[i]);
        of.area_m2 += cells.area_m2;
    }
    std::erase_if(chambers, [](const RoomPart& of) { return of.free.empty(); });
    return chambers;
}

}  // namespace noonshell
