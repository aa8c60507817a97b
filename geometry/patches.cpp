#include "geometry/patches.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <span>
#include <utility>

namespace noonshell {

namespace {

using Edge = std::pair<std::uint32_t, std::uint32_t>;  // welded corners, in running order

/// Triangles of one face that count as lying in one plane differ by less than this in the
/// components of the normal and in the distance from the origin [m].
constexpr double plane_step = 1e-6;

/// Corners of one face closer than this are one corner [m].
constexpr double weld_step_m = 1e-8;

Vec3 area_vector(const TriangleMesh& mesh, std::uint32_t t) {
    const Vec3 a = mesh.corner(t, 0);
    return (mesh.corner(t, 1) - a).cross(mesh.corner(t, 2) - a) / 2;
}

std::array<long long, 4> plane_key(const TriangleMesh& mesh, std::uint32_t t) {
    const Vec3 n = area_vector(mesh, t).normalized();
    const double distance = n.dot(mesh.corner(t, 0));
    return {std::llround(n.x() / plane_step), std::llround(n.y() / plane_step),
            std::llround(n.z() / plane_step), std::llround(distance / plane_step)};
}

/// The face's triangles, grouped by plane in the order of first appearance.
std::vector<std::vector<std::uint32_t>> plane_groups(const Model& model, const Face& face) {
    std::vector<std::vector<std::uint32_t>> groups;
    std::map<std::array<long long, 4>, std::size_t> group_of;
    for (std::uint32_t t = face.first_triangle; t < face.first_triangle + face.n_triangles; ++t) {
        if (area_vector(model.mesh, t).norm() < least_triangle_area_m2) continue;
        std::size_t group = 0;
        if (!face.planar) {
            group = group_of.try_emplace(plane_key(model.mesh, t), groups.size()).first->second;
        }
        if (group >= groups.size()) groups.emplace_back();
        groups[group].push_back(t);
    }
    return groups;
}

/// A patch's triangles with corners welded by position.
struct WeldedPatch {
    std::vector<Vec3> corners_m;
    std::vector<std::array<std::uint32_t, 3>> triangles;
};

WeldedPatch weld(const TriangleMesh& mesh, std::span<const std::uint32_t> triangles) {
    WeldedPatch welded;
    std::map<std::array<long long, 3>, std::uint32_t> index_of;
    const auto index = [&](const Vec3& p) {
        const std::array<long long, 3> key{std::llround(p.x() / weld_step_m),
                                           std::llround(p.y() / weld_step_m),
                                           std::llround(p.z() / weld_step_m)};
        const auto next = static_cast<std::uint32_t>(welded.corners_m.size());
        const auto [found, is_new] = index_of.try_emplace(key, next);
        if (is_new) welded.corners_m.push_back(p);
        return found->second;
    };
    for (const std::uint32_t t : triangles) {
        welded.triangles.push_back(
            {index(mesh.corner(t, 0)), index(mesh.corner(t, 1)), index(mesh.corner(t, 2))});
    }
    return welded;
}

std::map<Edge, std::uint32_t> edges_of(const WeldedPatch& welded) {
    std::map<Edge, std::uint32_t> triangle_of_edge;
    for (std::uint32_t t = 0; t < welded.triangles.size(); ++t) {
        const auto& c = welded.triangles[t];
        for (std::size_t k = 0; k < 3; ++k) {
            triangle_of_edge.try_emplace({c[k], c[(k + 1) % 3]}, t);
        }
    }
    return triangle_of_edge;
}

/// Direction of the longest edge that only one triangle has; of the first among equals.
Vec3 longest_border_edge(const WeldedPatch& welded, const std::map<Edge, std::uint32_t>& edges) {
    Vec3 longest = Vec3::Zero();
    for (const auto& [edge, triangle] : edges) {
        if (edges.contains({edge.second, edge.first})) continue;
        const Vec3 along = welded.corners_m[edge.second] - welded.corners_m[edge.first];
        if (along.norm() > longest.norm() * (1 + 1e-9)) longest = along;
    }
    return longest;
}

PlaneFrame frame_of(const Vec3& origin_m, const Vec3& normal, const Vec3& along) {
    PlaneFrame frame;
    frame.origin_m = origin_m;
    frame.normal = normal;
    const Vec3 in_plane = along - normal * normal.dot(along);
    frame.u = in_plane.norm() > 0 ? Vec3(in_plane.normalized()) : normal.unitOrthogonal();
    frame.v = normal.cross(frame.u);
    return frame;
}

/// Joins triangles across shared edges, the longest first, while the union stays convex.
class OutlineJoiner {
  public:
    OutlineJoiner(const WeldedPatch& welded, const PlaneFrame& frame)
        : owner_(welded.triangles.size()) {
        std::iota(owner_.begin(), owner_.end(), 0u);
        for (const auto& c : welded.triangles) {
            ConvexPolygon polygon;
            for (const std::uint32_t k : c) polygon.push_back(frame.to_plane(welded.corners_m[k]));
            polygons_.push_back(std::move(polygon));
        }
    }

    void join(std::uint32_t triangle_a, std::uint32_t triangle_b) {
        const std::uint32_t a = root(triangle_a), b = root(triangle_b);
        if (a == b) return;
        auto whole = joined(polygons_[a], polygons_[b]);
        if (!whole) return;
        polygons_[std::min(a, b)] = std::move(*whole);
        polygons_[std::max(a, b)].clear();
        owner_[std::max(a, b)] = std::min(a, b);
    }

    std::vector<ConvexPolygon> result() const {
        std::vector<ConvexPolygon> kept;
        for (const ConvexPolygon& polygon : polygons_) {
            if (!polygon.empty()) kept.push_back(without_idle_corners(polygon));
        }
        return kept;
    }

  private:
    std::uint32_t root(std::uint32_t triangle) const {
        while (owner_[triangle] != triangle) triangle = owner_[triangle];
        return triangle;
    }

    std::vector<std::uint32_t> owner_;
    std::vector<ConvexPolygon> polygons_;
};

std::vector<ConvexPolygon> convex_outline(const WeldedPatch& welded,
                                          const std::map<Edge, std::uint32_t>& edges,
                                          const PlaneFrame& frame) {
    struct Shared {
        double length_m;
        std::uint32_t a, b;
    };
    std::vector<Shared> shared;
    for (const auto& [edge, triangle] : edges) {
        const auto other = edges.find({edge.second, edge.first});
        if (edge.first > edge.second || other == edges.end()) continue;
        const double length = (welded.corners_m[edge.first] - welded.corners_m[edge.second]).norm();
        shared.push_back({length, triangle, other->second});
    }
    std::stable_sort(shared.begin(), shared.end(),
                     [](const Shared& p, const Shared& q) { return p.length_m > q.length_m; });
    OutlineJoiner joiner(welded, frame);
    for (const Shared& s : shared) joiner.join(s.a, s.b);
    return joiner.result();
}

Patch make_patch(const Model& model, FaceId face, std::vector<std::uint32_t> triangles) {
    Patch patch;
    patch.face = face;
    patch.body = model.faces[face.index()].body;
    Vec3 area_sum = Vec3::Zero(), moment = Vec3::Zero();
    for (const std::uint32_t t : triangles) {
        const Vec3 area = area_vector(model.mesh, t);
        area_sum += area;
        patch.area_m2 += area.norm();
        moment += area.norm() / 3 *
                  (model.mesh.corner(t, 0) + model.mesh.corner(t, 1) + model.mesh.corner(t, 2));
    }
    patch.centroid_m = moment / patch.area_m2;
    const WeldedPatch welded = weld(model.mesh, triangles);
    const auto edges = edges_of(welded);
    patch.frame =
        frame_of(patch.centroid_m, area_sum.normalized(), longest_border_edge(welded, edges));
    patch.outline = convex_outline(welded, edges, patch.frame);
    patch.triangles = std::move(triangles);
    patch.stands_for = {face};
    patch.developed_area_m2 = patch.area_m2;
    return patch;
}

}  // namespace

Patch flipped(const Patch& patch) {
    Patch other = patch;
    other.frame.normal = -patch.frame.normal;
    other.frame.v = -patch.frame.v;
    for (ConvexPolygon& polygon : other.outline) {
        for (Vec2& corner : polygon) corner.y() = -corner.y();
        std::reverse(polygon.begin(), polygon.end());
    }
    return other;
}

void set_outline(Patch& patch, std::vector<ConvexPolygon> outline) {
    Vec2 moment = Vec2::Zero();
    patch.area_m2 = 0;
    for (const ConvexPolygon& polygon : outline) {
        const double area = signed_area(polygon);
        patch.area_m2 += area;
        moment += area * area_centroid(polygon);
    }
    if (patch.area_m2 > 0) patch.centroid_m = patch.frame.to_space(moment / patch.area_m2);
    patch.outline = std::move(outline);
    patch.triangles.clear();
}

std::vector<Patch> planar_patches(const Model& model, BodyId body) {
    std::vector<Patch> patches;
    const Body& of = model.bodies[body.index()];
    for (std::size_t f = of.first_face; f < of.first_face + of.n_faces; ++f) {
        for (auto& group : plane_groups(model, model.faces[f])) {
            patches.push_back(make_patch(model, FaceId(f), std::move(group)));
        }
    }
    return patches;
}

}  // namespace noonshell
