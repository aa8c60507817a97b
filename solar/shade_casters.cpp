#include "solar/shade_casters.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>

namespace noonshell {

namespace {

constexpr std::size_t most_planes = 24;  // of a body that is worth a test as a whole
constexpr std::size_t triangles_in_a_box = 16;
constexpr double weld_m = 1e-6;

using Triangle = std::array<Vec3, 3>;
using Plane = ShadeCasters::Plane;

/// Vertices that coincide get one number, within one body only: bodies that touch stay apart.
std::vector<std::array<std::uint32_t, 3>> welded(const Envelope& envelope) {
    const TriangleMesh& mesh = envelope.blockers;
    std::map<std::tuple<std::uint32_t, long long, long long, long long>, std::uint32_t> number;
    std::vector<std::array<std::uint32_t, 3>> result(mesh.triangles.size());
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const SurfaceId surface = envelope.triangle_surface[t];
        const std::uint32_t body =
            surface.valid() ? envelope.surfaces[surface.index()].body.value : BodyId::none_value;
        for (int k = 0; k < 3; ++k) {
            const Vec3 p = mesh.corner(t, k) / weld_m;
            const auto key =
                std::tuple(body, std::llround(p.x()), std::llround(p.y()), std::llround(p.z()));
            const auto next = static_cast<std::uint32_t>(number.size());
            result[t][static_cast<std::size_t>(k)] = number.emplace(key, next).first->second;
        }
    }
    return result;
}

/// Triangles joined by common vertices, as lists in order of their first triangle.
std::vector<std::vector<std::uint32_t>> components(
    const std::vector<std::array<std::uint32_t, 3>>& triangles) {
    std::uint32_t n_vertices = 0;
    for (const auto& t : triangles)
        n_vertices = std::max({n_vertices, t[0] + 1, t[1] + 1, t[2] + 1});
    std::vector<std::uint32_t> parent(n_vertices);
    std::iota(parent.begin(), parent.end(), 0u);
    const auto root = [&](std::uint32_t v) {
        while (parent[v] != v) v = parent[v] = parent[parent[v]];
        return v;
    };
    for (const auto& t : triangles) {
        for (const std::uint32_t other : {t[1], t[2]}) {
            const auto [a, b] = std::minmax({root(t[0]), root(other)});
            parent[b] = a;
        }
    }
    std::map<std::uint32_t, std::size_t> place;
    std::vector<std::vector<std::uint32_t>> lists;
    for (std::uint32_t t = 0; t < triangles.size(); ++t) {
        const auto [found, is_new] = place.emplace(root(triangles[t][0]), lists.size());
        if (is_new) lists.emplace_back();
        lists[found->second].push_back(t);
    }
    return lists;
}

/// Every edge runs once each way: no hole, no fold.
bool is_closed(const std::vector<std::array<std::uint32_t, 3>>& triangles,
               std::span<const std::uint32_t> list) {
    std::map<std::pair<std::uint32_t, std::uint32_t>, int> edges;
    for (const std::uint32_t t : list) {
        for (std::size_t k = 0; k < 3; ++k) {
            const std::uint32_t a = triangles[t][k], b = triangles[t][(k + 1) % 3];
            if (++edges[{a, b}] > 1) return false;
        }
    }
    return std::all_of(edges.begin(), edges.end(), [&](const auto& edge) {
        return edges.contains({edge.first.second, edge.first.first});
    });
}

/// The planes of a closed surface if all of it lies behind each of them, else none.
std::vector<Plane> convex_planes(std::span<const Triangle> triangles) {
    std::vector<Plane> planes;
    for (const Triangle& t : triangles) {
        const Vec3 normal = (t[1] - t[0]).cross(t[2] - t[0]);
        if (normal.norm() < 1e-12) continue;
        const Plane plane{normal.normalized(), normal.normalized().dot(t[0])};
        const bool known = std::any_of(planes.begin(), planes.end(), [&](const Plane& p) {
            return (p.normal - plane.normal).norm() < 1e-9 &&
                   std::abs(p.offset_m - plane.offset_m) < weld_m;
        });
        if (known) continue;
        if (planes.size() == most_planes) return {};
        for (const Triangle& other : triangles) {
            for (const Vec3& p : other) {
                if (plane.normal.dot(p) > plane.offset_m + weld_m) return {};
            }
        }
        planes.push_back(plane);
    }
    return planes;
}

}  // namespace

ShadeCasters::ShadeCasters(const Envelope& envelope) {
    const TriangleMesh& mesh = envelope.blockers;
    NOONSHELL_CHECK_EQ(envelope.triangle_surface.size(), mesh.triangles.size());
    const auto corners = welded(envelope);
    for (const auto& list : components(corners)) {
        std::vector<Triangle> triangles;
        for (const std::uint32_t t : list) {
            triangles.push_back({mesh.corner(t, 0), mesh.corner(t, 1), mesh.corner(t, 2)});
        }
        const auto planes =
            is_closed(corners, list) ? convex_planes(triangles) : std::vector<Plane>{};
        if (planes.empty()) {
            add_boxes(triangles);
        } else {
            add_part(triangles, planes);
        }
    }
    if (parts_.empty()) return;
    Vec3 low = parts_[0].low, high = parts_[0].high;
    for (const Part& part : parts_) {
        low = low.cwiseMin(part.low);
        high = high.cwiseMax(part.high);
    }
    // Positions in single precision are off by at most 6e-8 of the distance from the centre, the
    // ends of rays by as much again for their directions.
    margin_m_ = 1e-4 + 5e-7 * (high - low).norm();
}

void ShadeCasters::add_part(std::span<const Triangle> triangles, std::span<const Plane> planes) {
    Part part;
    part.low = part.high = triangles[0][0];
    for (const Triangle& t : triangles) {
        for (const Vec3& p : t) {
            part.low = part.low.cwiseMin(p);
            part.high = part.high.cwiseMax(p);
        }
    }
    part.begin = static_cast<std::uint32_t>(triangles_.size());
    triangles_.insert(triangles_.end(), triangles.begin(), triangles.end());
    part.end = static_cast<std::uint32_t>(triangles_.size());
    part.planes_begin = static_cast<std::uint32_t>(planes_.size());
    planes_.insert(planes_.end(), planes.begin(), planes.end());
    part.planes_end = static_cast<std::uint32_t>(planes_.size());
    parts_.push_back(part);
}

/// Halves the triangles by the middle of their centres until few are left for each box.
void ShadeCasters::add_boxes(std::span<Triangle> triangles) {
    if (triangles.size() <= triangles_in_a_box) return add_part(triangles, {});
    const auto centre = [](const Triangle& t) { return Vec3((t[0] + t[1] + t[2]) / 3); };
    Vec3 low = centre(triangles[0]), high = low;
    for (const Triangle& t : triangles) {
        low = low.cwiseMin(centre(t));
        high = high.cwiseMax(centre(t));
    }
    int axis = 0;
    (high - low).maxCoeff(&axis);
    std::stable_sort(triangles.begin(), triangles.end(), [&](const Triangle& a, const Triangle& b) {
        return centre(a)[axis] < centre(b)[axis];
    });
    const std::size_t half = triangles.size() / 2;
    add_boxes(triangles.first(half));
    add_boxes(triangles.subspan(half));
}

}  // namespace noonshell
