#include "geometry/ground.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "geometry/facets.hpp"
#include "geometry/patches.hpp"
#include "geometry/plane_region.hpp"

namespace noonshell {

namespace {

constexpr double least_reach_m = 4, most_reach_m = 25;
constexpr double reach_per_height = 2;
constexpr double most_given_reach_m = 10'000;

struct Plan {
    Vec2 low = Vec2::Constant(std::numeric_limits<double>::infinity());
    Vec2 high = Vec2::Constant(-std::numeric_limits<double>::infinity());
    double top_m = -std::numeric_limits<double>::infinity();
};

/// Extent of all that stands above the ground.
Plan plan_of(const Envelope& envelope) {
    Plan plan;
    for (const auto& triangle : envelope.blockers.triangles) {
        for (const std::uint32_t v : triangle) {
            const Vec3& p = envelope.blockers.vertices_m[v];
            if (p.z() < envelope.ground_z_m) continue;
            plan.low = plan.low.cwiseMin(p.head<2>());
            plan.high = plan.high.cwiseMax(p.head<2>());
            plan.top_m = std::max(plan.top_m, p.z());
        }
    }
    return plan;
}

double reach_of(const Envelope& envelope, const Plan& plan, const GroundOptions& options) {
    if (options.reach_m >= 0) return options.reach_m;
    return std::clamp(reach_per_height * (plan.top_m - envelope.ground_z_m), least_reach_m,
                      most_reach_m);
}

ConvexPolygon rectangle(const Vec2& low, const Vec2& high) {
    return {low, {high.x(), low.y()}, high, {low.x(), high.y()}};
}

/// What stands on the ground: faces of units and shades that look down close above it.
PlaneRegion footprints(const Envelope& envelope, double contact_gap_m) {
    std::vector<ConvexPolygon> covers;
    const TriangleMesh& mesh = envelope.blockers;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        if (!envelope.triangle_surface[t].valid()) continue;
        const Vec3 a = mesh.corner(t, 0), b = mesh.corner(t, 1), c = mesh.corner(t, 2);
        const double highest = std::max({a.z(), b.z(), c.z()});
        if (highest > envelope.ground_z_m + contact_gap_m) continue;
        // Seen from above such a face runs clockwise.
        ConvexPolygon cover{a.head<2>(), c.head<2>(), b.head<2>()};
        if (signed_area(cover) < least_triangle_area_m2) continue;
        covers.push_back(std::move(cover));
    }
    return PlaneRegion::union_of(covers);
}

PlaneRegion region_of(const GroundRegion& region) {
    const InputPlace place{.file = {}, .line = {}, .column = {}, .entity = "ground " + region.name};
    ConvexPolygon ring = region.outline_m;
    for (const Vec2& corner : ring) {
        if (!corner.allFinite()) throw InputError(place, "finite corners", "one that is not");
    }
    if (ring.size() < 3) {
        throw InputError(place, "an outline of at least 3 corners", std::to_string(ring.size()));
    }
    if (signed_area(ring) < 0) std::reverse(ring.begin(), ring.end());
    // The union turns any simple ring into a region: it need not be convex.
    PlaneRegion result = PlaneRegion::union_of(std::span(&ring, 1));
    if (result.area_m2() < 1e-6) throw InputError(place, "an outline with an area", "none");
    return result;
}

void check(const GroundOptions& options) {
    const auto place = [](const char* entity) {
        return InputPlace{.file = {}, .line = {}, .column = {}, .entity = entity};
    };
    if (!(options.cell_m >= 0.05 && options.cell_m <= 100)) {
        throw InputError(place("ground cell_m"), "0.05 to 100 m", std::to_string(options.cell_m));
    }
    if (!(options.reach_m <= most_given_reach_m)) {
        throw InputError(place("ground reach_m"), "at most 10000 m",
                         std::to_string(options.reach_m));
    }
    if (options.most_cells < 1) throw InputError(place("ground most_cells"), "1 or more", "0");
}

void append_surface(Envelope& envelope, const std::string& id, const PlaneRegion& region,
                    const Vec2& origin, double cell_m) {
    if (region.area_m2() < 1e-6) return;
    Patch patch;
    patch.frame = {.origin_m = {origin.x(), origin.y(), envelope.ground_z_m}};
    for (ConvexPolygon& piece : region.convex_pieces()) {
        for (Vec2& corner : piece) corner -= origin;
        patch.outline.push_back(std::move(piece));
    }
    Surface surface;
    surface.id = id;
    surface.kind = SurfaceKind::ground;
    surface.first_facet = static_cast<std::uint32_t>(envelope.facets.size());
    const SurfaceId surface_id(envelope.surfaces.size());
    for (const PatchFacet& facet : cut_into_facets(patch, 0, cell_m)) {
        append_facet(envelope.facets, facet, patch, surface_id);
        const double area = envelope.facets.area_m2.back();
        surface.area_m2 += area;
        surface.centroid_m += area * envelope.facets.centroid_m.back();
        ++surface.n_facets;
    }
    if (surface.n_facets == 0) return;
    surface.centroid_m /= surface.area_m2;
    surface.exposed_area_m2 = surface.developed_area_m2 = surface.area_m2;
    envelope.surfaces.push_back(std::move(surface));
}

}  // namespace

Envelope with_ground(const Envelope& envelope, const GroundOptions& options, double contact_gap_m) {
    check(options);
    Envelope result = envelope;
    const Plan plan = plan_of(envelope);
    if (!std::isfinite(plan.top_m)) return result;
    const Vec2 reach = Vec2::Constant(reach_of(envelope, plan, options));
    const Vec2 low = plan.low - reach, high = plan.high + reach;
    const ConvexPolygon all = rectangle(low, high);
    const double size = std::sqrt((high - low).prod() / static_cast<double>(options.most_cells));
    const double cell_m = std::max(options.cell_m, size);
    PlaneRegion rest =
        PlaneRegion::union_of(std::span(&all, 1)).without(footprints(envelope, contact_gap_m));
    for (const GroundRegion& region : options.regions) {
        const PlaneRegion own = region_of(region);
        append_surface(result, "ground/" + region.name, rest.within(own), low, cell_m);
        rest = rest.without(own);
    }
    append_surface(result, "ground", rest, low, cell_m);
    return result;
}

std::size_t n_building_surfaces(const Envelope& envelope) {
    const auto first =
        std::find_if(envelope.surfaces.begin(), envelope.surfaces.end(),
                     [](const Surface& surface) { return surface.kind == SurfaceKind::ground; });
    return static_cast<std::size_t>(first - envelope.surfaces.begin());
}

}  // namespace noonshell
