#include "geometry/ray_mesh.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace noonshell {

namespace {

constexpr std::uint32_t leaf_size = 4;

/// Barycentric slack: a ray through an edge must not slip between its two triangles.
constexpr double edge_slack = 1e-9;

Vec3 middle_of(const RayMesh::Triangle& t) {
    return (t.corners_m[0] + t.corners_m[1] + t.corners_m[2]) / 3;
}

/// Distance along the ray to the triangle's plane where it passes through the triangle
/// [moeller1997]; none for a ray in that plane.
std::optional<double> hit_distance_m(const RayMesh::Triangle& t, const Vec3& origin_m,
                                     const Vec3& direction) {
    const auto& [a, b, c] = t.corners_m;
    const Vec3 e1 = b - a, e2 = c - a;
    const Vec3 p = direction.cross(e2);
    const double det = e1.dot(p);
    if (std::abs(det) < 1e-14 * e1.norm() * e2.norm()) return std::nullopt;
    const Vec3 s = origin_m - a;
    const double u = s.dot(p) / det;
    if (u < -edge_slack || u > 1 + edge_slack) return std::nullopt;
    const Vec3 q = s.cross(e1);
    const double v = direction.dot(q) / det;
    if (v < -edge_slack || u + v > 1 + edge_slack) return std::nullopt;
    return e2.dot(q) / det;
}

bool meets_box(const Vec3& low, const Vec3& high, const Vec3& origin_m, const Vec3& inverse,
               double to_m) {
    double enter = 0, leave = to_m;
    for (int k = 0; k < 3; ++k) {
        double near = (low[k] - origin_m[k]) * inverse[k];
        double far = (high[k] - origin_m[k]) * inverse[k];
        if (near > far) std::swap(near, far);
        // 0 * infinity is not a number: a ray in the plane of a box face takes that face along.
        if (!(near <= enter)) enter = std::isnan(near) ? enter : near;
        if (!(far >= leave)) leave = std::isnan(far) ? leave : far;
    }
    return enter <= leave + 1e-9;
}

}  // namespace

RayMesh::RayMesh(std::vector<Triangle> triangles) : triangles_(std::move(triangles)) {
    nodes_.reserve(2 * (triangles_.size() / leaf_size + 1));
    if (!triangles_.empty()) build(0, static_cast<std::uint32_t>(triangles_.size()));
}

void RayMesh::build(std::uint32_t begin, std::uint32_t end) {
    const std::size_t at = nodes_.size();
    const Vec3& first = triangles_[begin].corners_m[0];
    Node node{first, first, begin, end, 0};
    Vec3 low = middle_of(triangles_[begin]), high = low;
    for (std::uint32_t t = begin; t < end; ++t) {
        for (const Vec3& corner : triangles_[t].corners_m) {
            node.low_m = node.low_m.cwiseMin(corner);
            node.high_m = node.high_m.cwiseMax(corner);
        }
        low = low.cwiseMin(middle_of(triangles_[t]));
        high = high.cwiseMax(middle_of(triangles_[t]));
    }
    nodes_.push_back(node);
    if (end - begin <= leaf_size) return;
    Eigen::Index axis = 0;
    (high - low).maxCoeff(&axis);
    const std::uint32_t half = begin + (end - begin) / 2;
    std::nth_element(triangles_.begin() + begin, triangles_.begin() + half,
                     triangles_.begin() + end, [axis](const Triangle& a, const Triangle& b) {
                         return middle_of(a)[axis] < middle_of(b)[axis];
                     });
    build(begin, half);
    nodes_[at].second = static_cast<std::uint32_t>(nodes_.size());
    build(half, end);
}

template <class Visit>
void RayMesh::visit(const Vec3& origin_m, const Vec3& direction, double to_m,
                    Visit&& at_triangle) const {
    if (nodes_.empty()) return;
    const Vec3 inverse = direction.cwiseInverse();
    std::array<std::uint32_t, 64> open{};  // the tree halves, so it is never deeper than 32
    std::size_t n_open = 1;
    while (n_open > 0) {
        const std::uint32_t at = open[--n_open];
        const Node& node = nodes_[at];
        if (!meets_box(node.low_m, node.high_m, origin_m, inverse, to_m)) continue;
        if (node.second != 0) {
            open[n_open++] = node.second;
            open[n_open++] = at + 1;
            continue;
        }
        for (std::uint32_t t = node.begin; t < node.end; ++t) {
            const auto distance = hit_distance_m(triangles_[t], origin_m, direction);
            if (distance && !at_triangle(triangles_[t], *distance)) return;
        }
    }
}

bool RayMesh::blocked(const Vec3& origin_m, const Vec3& direction, double from_m,
                      double to_m) const {
    bool hit = false;
    visit(origin_m, direction, to_m, [&](const Triangle&, double distance) {
        hit = distance > from_m && distance < to_m;
        return !hit;
    });
    return hit;
}

double RayMesh::free_way_m(const Vec3& origin_m, const Vec3& direction, double most_m) const {
    double free = most_m;
    visit(origin_m, direction, most_m, [&](const Triangle&, double distance) {
        if (distance > 0) free = std::min(free, distance);
        return true;
    });
    return free;
}

std::vector<RayMesh::Crossing> RayMesh::crossings(const Vec3& origin_m,
                                                  const Vec3& direction) const {
    std::vector<Crossing> all;
    constexpr double far = std::numeric_limits<double>::infinity();
    visit(origin_m, direction, far, [&](const Triangle& triangle, double distance) {
        const auto& [a, b, c] = triangle.corners_m;
        const bool against = (b - a).cross(c - a).dot(direction) < 0;
        if (distance > 0)
            all.push_back(
                {distance, triangle.of_solid && against, triangle.of_solid, triangle.body});
        return true;
    });
    std::sort(all.begin(), all.end(), [](const Crossing& p, const Crossing& q) {
        return p.distance_m != q.distance_m ? p.distance_m < q.distance_m
                                            : p.into_solid < q.into_solid;
    });
    return all;
}

}  // namespace noonshell
