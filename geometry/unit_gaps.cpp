#include "geometry/unit_gaps.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include "geometry/plane_region.hpp"

namespace noonshell {

namespace {

constexpr double narrowest_told_m = 0.001;  ///< narrower gaps are rounding

/// An edge of a face's triangles that no other triangle of the unit shares.
struct FreeEdge {
    Vec3 from_m, to_m;
    Vec3 outward;  ///< in the plane of the face, away from it
    FaceId face;
};

/// The nearest point to `p` on the stretch of a triangle that lies in the plane through `p` square
/// to `along`, not behind `p`; nothing where the plane misses it.
std::optional<Vec3> nearest_in_section(const std::array<Vec3, 3>& triangle, const Vec3& p,
                                       const Vec3& along, const Vec3& outward) {
    std::array<double, 3> height{};
    for (std::size_t k = 0; k < 3; ++k) height[k] = along.dot(triangle[k] - p);
    std::array<Vec3, 2> ends;
    std::size_t n = 0;
    for (std::size_t k = 0; k < 3 && n < 2; ++k) {
        const std::size_t next = (k + 1) % 3;
        if ((height[k] < 0) == (height[next] < 0)) continue;
        const double t = height[k] / (height[k] - height[next]);
        ends[n++] = triangle[k] + t * (triangle[next] - triangle[k]);
    }
    if (n < 2) return std::nullopt;
    const Vec3 way = ends[1] - ends[0];
    const double length2 = way.squaredNorm();
    const double t = length2 > 0 ? std::clamp(way.dot(p - ends[0]) / length2, 0.0, 1.0) : 0.0;
    const Vec3 q = ends[0] + t * way;
    return outward.dot(q - p) < -narrowest_told_m ? std::nullopt : std::optional(q);
}

double distance_to_edge(const FreeEdge& edge, const Vec3& q) {
    const Vec3 way = edge.to_m - edge.from_m;
    const double t = std::clamp(way.dot(q - edge.from_m) / way.squaredNorm(), 0.0, 1.0);
    return (edge.from_m + t * way - q).norm();
}

class EdgeGaps {
  public:
    EdgeGaps(const Model& model, std::span<const BodyId> bodies, const Skin& skin,
             const Vec3& missing_side)
        : model_(model), missing_side_(missing_side) {
        for (const Patch& patch : skin.patches) {
            outer_.insert(patch.face);
            outer_.insert(patch.stands_for.begin(), patch.stands_for.end());
        }
        Eigen::AlignedBox3d box;
        for (const BodyId id : bodies) {
            const Body& body = model.bodies[id.index()];
            any_open_ = any_open_ || !body.solid;
            for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
                add_face(FaceId(f), !body.solid, box);
            }
        }
        if (!box.isEmpty()) farthest_m_ = box.sizes().minCoeff() / 2;
        missing_plane_m_ = -std::numeric_limits<double>::infinity();
        for (const Triangle& triangle : triangles_) {
            for (const Vec3& corner : triangle.corners)
                missing_plane_m_ = std::max(missing_plane_m_, missing_side_.dot(corner));
        }
    }

    void measure(UnitGaps& gaps) {
        if (!any_open_) return;
        const std::vector<FreeEdge> edges = free_edges();
        for (const FreeEdge& edge : edges) measure_edge(edge, edges, gaps);
    }

  private:
    /// Whether a gap lies in the plane of the side that is missing.
    bool is_of_missing_side(const Vec3& p, const Vec3& q) const {
        return missing_side_ != Vec3::Zero() &&
               std::min(missing_side_.dot(p), missing_side_.dot(q)) >
                   missing_plane_m_ - closed_gap_m;
    }

    struct Triangle {
        std::array<Vec3, 3> corners;
        FaceId face;
        bool open;  ///< an outer one of an open body
    };

    void add_face(FaceId id, bool open, Eigen::AlignedBox3d& box) {
        const Face& face = model_.faces[id.index()];
        for (std::uint32_t t = 0; t < face.n_triangles; ++t) {
            Triangle triangle{{}, id, open && outer_.contains(id)};
            for (int k = 0; k < 3; ++k) {
                const Vec3 corner = model_.mesh.corner(face.first_triangle + t, k);
                triangle.corners[static_cast<std::size_t>(k)] = corner;
                box.extend(corner);
            }
            triangles_.push_back(triangle);
        }
    }

    std::vector<FreeEdge> free_edges() const {
        using Key = std::array<long long, 6>;
        const auto key_of = [](const Vec3& a, const Vec3& b) {
            constexpr double grid_m = 1e-4;
            std::array<long long, 3> u{}, v{};
            for (std::size_t k = 0; k < 3; ++k) {
                u[k] = std::llround(a[static_cast<Eigen::Index>(k)] / grid_m);
                v[k] = std::llround(b[static_cast<Eigen::Index>(k)] / grid_m);
            }
            if (v < u) std::swap(u, v);
            return Key{u[0], u[1], u[2], v[0], v[1], v[2]};
        };
        std::map<Key, int> uses;
        for (const Triangle& t : triangles_) {
            for (std::size_t k = 0; k < 3; ++k)
                ++uses[key_of(t.corners[k], t.corners[(k + 1) % 3])];
        }
        std::vector<FreeEdge> edges;
        for (const Triangle& t : triangles_) {
            if (!t.open) continue;
            for (std::size_t k = 0; k < 3; ++k) {
                const Vec3 &a = t.corners[k], &b = t.corners[(k + 1) % 3];
                if (uses[key_of(a, b)] != 1 || (b - a).norm() < narrowest_told_m) continue;
                const Vec3 along = (b - a).normalized();
                const Vec3 inward = t.corners[(k + 2) % 3] - a;
                const Vec3 outward = -(inward - along.dot(inward) * along);
                if (outward.norm() > 0) edges.push_back({a, b, outward.normalized(), t.face});
            }
        }
        return edges;
    }

    void measure_edge(const FreeEdge& edge, const std::vector<FreeEdge>& edges, UnitGaps& gaps) {
        constexpr double step_m = 0.05;
        constexpr double least_samples = 4, most_samples = 60;
        const Vec3 way = edge.to_m - edge.from_m;
        const double n = std::clamp(std::ceil(way.norm() / step_m), least_samples, most_samples);
        const double length_m = way.norm() / n;
        for (int i = 0; i < static_cast<int>(n); ++i) {
            const Vec3 p = edge.from_m + (i + 0.5) / n * way;
            double width_m = std::numeric_limits<double>::infinity();
            Vec3 nearest = p;
            for (const Triangle& triangle : triangles_) {
                if (triangle.face == edge.face) continue;
                const auto q =
                    nearest_in_section(triangle.corners, p, way.normalized(), edge.outward);
                if (!q || (*q - p).norm() >= width_m) continue;
                width_m = (*q - p).norm();
                nearest = *q;
            }
            if (width_m < narrowest_told_m || width_m > farthest_m_) continue;
            if (is_of_missing_side(p, nearest)) continue;
            if (width_m <= closed_gap_m) {
                gaps.widest_closed_m = std::max(gaps.widest_closed_m, width_m);
                continue;
            }
            // A gap between two edges is met from both sides.
            const bool mutual = std::ranges::any_of(edges, [&](const FreeEdge& other) {
                return other.face != edge.face &&
                       distance_to_edge(other, nearest) < narrowest_told_m;
            });
            const double share_m = mutual ? length_m / 2 : length_m;
            gaps.widest_open_m = std::max(gaps.widest_open_m, width_m);
            gaps.open_length_m += share_m;
            gaps.open_area_m2 += share_m * width_m;
        }
    }

    const Model& model_;
    Vec3 missing_side_;
    double missing_plane_m_ = 0;  ///< along its normal
    std::set<FaceId> outer_;
    std::vector<Triangle> triangles_;
    double farthest_m_ = 0;
    bool any_open_ = false;
};

/// Widest gap that was closed when the outline of a side was drawn around the faces in it.
double gap_within(const Patch& side, const std::map<FaceId, std::vector<Patch>>& faces) {
    constexpr double least_area_m2 = 0.01, told_share = 0.9;
    if (side.stands_for.size() < 2) return 0;
    std::vector<ConvexPolygon> shadows;
    for (const FaceId face : side.stands_for) {
        const auto found = faces.find(face);
        if (found == faces.end()) continue;
        for (const Patch& patch : found->second) {
            for (auto& piece : projected(patch, side.frame).convex_pieces()) {
                shadows.push_back(std::move(piece));
            }
        }
    }
    const PlaneRegion drawn = PlaneRegion::union_of(shadows);
    const auto closed_m2 = [&](double gap_m) { return drawn.closed(gap_m).area_m2(); };
    const double rest_m2 = closed_m2(closed_gap_m) - closed_m2(narrowest_told_m);
    if (rest_m2 < least_area_m2) return 0;
    const double enough_m2 = closed_m2(narrowest_told_m) + told_share * rest_m2;
    double low_m = narrowest_told_m, high_m = closed_gap_m;
    while (high_m - low_m > narrowest_told_m / 4) {
        const double middle_m = (low_m + high_m) / 2;
        (closed_m2(middle_m) < enough_m2 ? low_m : high_m) = middle_m;
    }
    return (low_m + high_m) / 2;
}

}  // namespace

UnitGaps measure_unit_gaps(const Model& model, std::span<const BodyId> bodies, const Skin& skin,
                           const Vec3& missing_side) {
    UnitGaps gaps;
    EdgeGaps(model, bodies, skin, missing_side).measure(gaps);
    std::map<FaceId, std::vector<Patch>> faces;
    for (const BodyId body : bodies) {
        for (Patch& patch : planar_patches(model, body)) {
            const FaceId face = patch.face;
            faces[face].push_back(std::move(patch));
        }
    }
    for (const Patch& side : skin.patches) {
        gaps.widest_closed_m = std::max(gaps.widest_closed_m, gap_within(side, faces));
    }
    return gaps;
}

}  // namespace noonshell
