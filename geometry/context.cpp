#include "geometry/context.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <string>
#include <tuple>
#include <vector>

#include "geometry/compass.hpp"
#include "geometry/facets.hpp"
#include "geometry/patches.hpp"
#include "geometry/sides.hpp"

namespace noonshell {

namespace {

/// What ends this close to the ground plane ends at it [m].
constexpr double flush_m = 1e-3;

/// Triangles of one face in one plane.
struct Plane {
    Vec3 normal{0, 0, 1};
    std::vector<std::uint32_t> triangles{};
    double area_m2 = 0;
    double distance_m = 0;  ///< from the building
    bool open = false;      ///< of a shell that does not close
};

struct BodyBox {
    Vec3 low = Vec3::Constant(1e300), high = Vec3::Constant(-1e300);

    void include(const Vec3& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    double distance_m(const BodyBox& other) const {
        return (low - other.high).cwiseMax(other.low - high).cwiseMax(Vec3::Zero()).norm();
    }
};

/// Finds the planes, then cuts them; a call leads from the one to the other.
class ContextCutter {
  public:
    ContextCutter(const Envelope& envelope, const ContextOptions& options)
        : options_(options), result_(envelope) {}

    Envelope cut() {
        find_planes();
        if (planes_.empty()) return std::move(result_);
        keep_largest();
        mark_open_shells();
        const double scale = cell_scale();
        for (const Plane& plane : planes_) add(plane, scale);
        return std::move(result_);
    }

  private:
    std::array<Vec3, 3> corners(std::uint32_t t) const {
        const TriangleMesh& mesh = result_.blockers;
        return {mesh.corner(t, 0), mesh.corner(t, 1), mesh.corner(t, 2)};
    }

    bool is_context(std::uint32_t t) const { return !result_.triangle_surface[t].valid(); }

    void find_planes() {
        constexpr double normal_step = 1e-5, offset_step_m = 1e-4;
        using Key = std::tuple<std::uint32_t, long long, long long, long long, long long>;
        std::map<Key, std::size_t> known;
        BodyBox building;
        const auto n = static_cast<std::uint32_t>(result_.blockers.triangles.size());
        for (std::uint32_t t = 0; t < n; ++t) {
            const auto p = corners(t);
            if (!is_context(t)) {
                for (const Vec3& corner : p) building.include(corner);
                continue;
            }
            if (std::max({p[0].z(), p[1].z(), p[2].z()}) <= result_.ground_z_m + flush_m) continue;
            const Vec3 twice = (p[1] - p[0]).cross(p[2] - p[0]);
            const double area = 0.5 * twice.norm();
            if (area < least_triangle_area_m2) continue;
            const Vec3 normal = twice / (2 * area);
            const Key key{
                result_.blockers.triangle_face[t].value, std::llround(normal.x() / normal_step),
                std::llround(normal.y() / normal_step), std::llround(normal.z() / normal_step),
                std::llround(normal.dot(p[0]) / offset_step_m)};
            const auto [found, is_new] = known.try_emplace(key, planes_.size());
            if (is_new) planes_.push_back({.normal = normal});
            planes_[found->second].triangles.push_back(t);
            planes_[found->second].area_m2 += area;
        }
        for (Plane& plane : planes_) {
            BodyBox own;
            for (const std::uint32_t t : plane.triangles)
                for (const Vec3& corner : corners(t)) own.include(corner);
            plane.distance_m = own.distance_m(building);
        }
    }

    void keep_largest() {
        if (planes_.size() <= options_.most_planes) return;
        std::vector<std::size_t> by_area(planes_.size());
        std::iota(by_area.begin(), by_area.end(), std::size_t{0});
        std::stable_sort(by_area.begin(), by_area.end(), [this](std::size_t a, std::size_t b) {
            return planes_[a].area_m2 > planes_[b].area_m2;
        });
        double all_m2 = 0, kept_m2 = 0;
        for (const Plane& plane : planes_) all_m2 += plane.area_m2;
        by_area.resize(options_.most_planes);
        std::sort(by_area.begin(), by_area.end());
        std::vector<Plane> kept;
        for (const std::size_t k : by_area) {
            kept_m2 += planes_[k].area_m2;
            kept.push_back(std::move(planes_[k]));
        }
        const auto percent = std::lround(100 * (1 - kept_m2 / all_m2));
        result_.warnings.push_back(
            {"context-in-small-faces",
             "of " + std::to_string(planes_.size()) +
                 " plane faces of context bodies only the largest " + std::to_string(kept.size()) +
                 " throw light; the others are " + std::to_string(percent) + " % of their area",
             "context"});
        planes_ = std::move(kept);
    }

    /// Triangles that hang together by their corners are a shell; one with an edge that belongs to
    /// one triangle alone is open.
    void mark_open_shells() {
        constexpr double weld_m = 1e-5;
        using Corner = std::tuple<long long, long long, long long>;
        std::map<Corner, std::uint32_t> number;
        std::vector<std::array<std::uint32_t, 3>> welded(result_.blockers.triangles.size());
        for (std::uint32_t t = 0; t < welded.size(); ++t) {
            if (!is_context(t)) continue;
            const auto p = corners(t);
            for (std::size_t k = 0; k < 3; ++k) {
                const Corner key{std::llround(p[k].x() / weld_m), std::llround(p[k].y() / weld_m),
                                 std::llround(p[k].z() / weld_m)};
                const auto next = static_cast<std::uint32_t>(number.size());
                welded[t][k] = number.try_emplace(key, next).first->second;
            }
        }
        std::vector<std::uint32_t> parent(number.size());
        std::iota(parent.begin(), parent.end(), 0u);
        const auto root = [&parent](std::uint32_t v) {
            while (parent[v] != v) v = parent[v] = parent[parent[v]];
            return v;
        };
        std::map<std::pair<std::uint32_t, std::uint32_t>, int> uses;
        for (std::uint32_t t = 0; t < welded.size(); ++t) {
            if (!is_context(t)) continue;
            for (std::size_t k = 0; k < 3; ++k) {
                const std::uint32_t a = welded[t][k], b = welded[t][(k + 1) % 3];
                const auto [first, second] = std::minmax({root(a), root(b)});
                parent[second] = first;
                ++uses[std::minmax({a, b})];
            }
        }
        std::vector<bool> is_open(number.size(), false);
        for (const auto& [edge, n] : uses)
            if (n == 1) is_open[root(edge.first)] = true;
        for (Plane& plane : planes_) plane.open = is_open[root(welded[plane.triangles.front()][0])];
    }

    double cell_m(const Plane& plane) const {
        return std::max(options_.cell_m, options_.cell_per_distance * plane.distance_m);
    }

    /// Factor for all cells that leaves as many as are allowed.
    double cell_scale() const {
        double cells = 0;
        for (const Plane& plane : planes_)
            cells += plane.area_m2 / (cell_m(plane) * cell_m(plane)) * (plane.open ? 2 : 1);
        return std::max(1.0, std::sqrt(cells / static_cast<double>(options_.most_cells)));
    }

    /// In axes that lie level and up the slope, as parts of surfaces are cut.
    Patch patch_of(const Plane& plane) const {
        Patch patch;
        patch.face = result_.blockers.triangle_face[plane.triangles.front()];
        const Vec3 across(-plane.normal.y(), plane.normal.x(), 0);
        patch.frame.origin_m = corners(plane.triangles.front())[0];
        patch.frame.u = across.norm() < 1e-9 ? Vec3(Vec3::UnitX()) : Vec3(across.normalized());
        patch.frame.v = plane.normal.cross(patch.frame.u);
        patch.frame.normal = plane.normal;
        for (const std::uint32_t t : plane.triangles) {
            ConvexPolygon triangle;
            for (const Vec3& corner : corners(t)) triangle.push_back(patch.frame.to_plane(corner));
            patch.outline.push_back(std::move(triangle));
        }
        return patch;
    }

    void add(const Plane& plane, double scale) {
        const Patch patch = patch_of(plane);
        const SurfaceId front = add_surface(patch, scale * cell_m(plane));
        if (!front.valid()) return;
        for (const std::uint32_t t : plane.triangles) result_.triangle_surface[t] = front;
        if (!plane.open) return;
        const SurfaceId back = add_surface(flipped(patch), scale * cell_m(plane));
        if (!back.valid()) return;
        result_.surfaces[front.index()].other_side = back;
        result_.surfaces[back.index()].other_side = front;
    }

    /// None where nothing is left of it.
    SurfaceId add_surface(const Patch& patch, double cell_m) {
        const SurfaceId id(result_.surfaces.size());
        Surface surface;
        surface.id = "context/" + std::to_string(++n_surfaces_);
        surface.kind = SurfaceKind::context;
        surface.normal = patch.frame.normal;
        surface.tilt_deg = tilt_of_deg(surface.normal);
        surface.azimuth_deg = compass_azimuth_deg(surface.normal, result_.north_deg);
        surface.n_faces = 1;
        surface.first_facet = static_cast<std::uint32_t>(result_.facets.size());
        for (const PatchFacet& facet : cut_into_facets(patch, 0, cell_m)) {
            append_facet(result_.facets, facet, patch, id);
            const double area = result_.facets.area_m2.back();
            surface.area_m2 += area;
            surface.centroid_m += area * result_.facets.centroid_m.back();
            ++surface.n_facets;
        }
        if (surface.n_facets == 0) return {};
        surface.centroid_m /= surface.area_m2;
        surface.exposed_area_m2 = surface.developed_area_m2 = surface.area_m2;
        result_.surfaces.push_back(std::move(surface));
        return id;
    }

    const ContextOptions& options_;
    Envelope result_;
    std::vector<Plane> planes_;
    std::size_t n_surfaces_ = 0;
};

}  // namespace

Envelope with_context(const Envelope& envelope, const ContextOptions& options) {
    return ContextCutter(envelope, options).cut();
}

}  // namespace noonshell
