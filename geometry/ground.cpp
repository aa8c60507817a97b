#include "geometry/ground.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "geometry/facets.hpp"
#include "geometry/graded_cells.hpp"
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

void check(const GroundOptions& options) {
    const auto place = [](const char* entity) {
        return InputPlace{.file = {}, .line = {}, .column = {}, .entity = entity};
    };
    if (!(options.cell_m >= 0.05 && options.cell_m <= 100)) {
        throw InputError(place("ground cell_m"), "0.05 to 100 m", std::to_string(options.cell_m));
    }
    if (!(options.finest_cell_m >= 0.05)) {
        throw InputError(place("ground finest_cell_m"), "0.05 m or more",
                         std::to_string(options.finest_cell_m));
    }
    if (!(options.reach_m <= most_given_reach_m)) {
        throw InputError(place("ground reach_m"), "at most 10000 m",
                         std::to_string(options.reach_m));
    }
    if (options.most_cells < 1) throw InputError(place("ground most_cells"), "1 or more", "0");
}

/// Where walls end close above the ground, seen from above.
std::vector<PlaneSegment> wall_lines(const Envelope& envelope) {
    constexpr double steep = 0.7;    // most of the normal's rise
    constexpr double close_m = 1.0;  // of its lower edge to the ground
    constexpr double shortest_m = 0.1;
    std::vector<PlaneSegment> lines;
    const TriangleMesh& mesh = envelope.blockers;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const std::array<Vec3, 3> p{mesh.corner(t, 0), mesh.corner(t, 1), mesh.corner(t, 2)};
        const double lowest = std::min({p[0].z(), p[1].z(), p[2].z()});
        if (lowest > envelope.ground_z_m + close_m) continue;
        const Vec3 normal = (p[1] - p[0]).cross(p[2] - p[0]);
        if (std::abs(normal.z()) > steep * normal.norm()) continue;
        PlaneSegment longest;
        for (std::size_t k = 0; k < 3; ++k) {
            const Vec2 a = p[k].head<2>(), b = p[(k + 1) % 3].head<2>();
            if ((b - a).norm() > (longest.b - longest.a).norm()) longest = {a, b};
        }
        if ((longest.b - longest.a).norm() >= shortest_m) lines.push_back(longest);
    }
    return lines;
}

/// Cells of the ground by size, few enough.
std::vector<CellLevel> cells_of_ground(const Vec2& low, const Vec2& high,
                                       const GroundOptions& options,
                                       const std::vector<PlaneSegment>& lines) {
    const double least = std::sqrt((high - low).prod() / static_cast<double>(options.most_cells));
    double cell_m = std::max(options.cell_m, least);
    double finest_m = std::min(options.finest_cell_m, cell_m);
    for (;;) {
        std::vector<CellLevel> levels = graded_cells(low, high, cell_m, finest_m, lines);
        std::size_t n = 0;
        for (const CellLevel& level : levels) n += level.n_cells;
        if (n <= options.most_cells || finest_m >= cell_m) return levels;
        finest_m *= 2;
    }
}

/// The ground's zones, one for each size of cell that occurs.
struct Zone {
    PlaneRegion region;
    double cell_m = 0;
};

std::vector<Zone> zones_of(const std::vector<CellLevel>& levels) {
    std::vector<Zone> zones;
    for (const CellLevel& level : levels) {
        if (level.strips.empty()) continue;
        zones.push_back({PlaneRegion::union_of(level.strips), level.cell_m});
    }
    return zones;
}

void append_facets(Envelope& envelope, const PlaneRegion& region, const Vec2& origin, double cell_m,
                   Surface& surface) {
    Patch patch;
    patch.frame = {.origin_m = {origin.x(), origin.y(), envelope.ground_z_m}};
    for (ConvexPolygon& piece : region.convex_pieces()) {
        for (Vec2& corner : piece) corner -= origin;
        patch.outline.push_back(std::move(piece));
    }
    const SurfaceId surface_id(envelope.surfaces.size());
    for (const PatchFacet& facet : cut_into_facets(patch, 0, cell_m)) {
        append_facet(envelope.facets, facet, patch, surface_id);
        const double area = envelope.facets.area_m2.back();
        surface.area_m2 += area;
        surface.centroid_m += area * envelope.facets.centroid_m.back();
        ++surface.n_facets;
    }
}

void append_surface(Envelope& envelope, const std::string& id, const PlaneRegion& region,
                    const Vec2& origin, const std::vector<Zone>& zones) {
    if (region.area_m2() < 1e-6) return;
    Surface surface;
    surface.id = id;
    surface.kind = SurfaceKind::ground;
    surface.first_facet = static_cast<std::uint32_t>(envelope.facets.size());
    for (const Zone& zone : zones) {
        const PlaneRegion own = zones.size() > 1 ? region.within(zone.region) : region;
        if (own.area_m2() >= 1e-6) append_facets(envelope, own, origin, zone.cell_m, surface);
    }
    if (surface.n_facets == 0) return;
    surface.centroid_m /= surface.area_m2;
    surface.exposed_area_m2 = surface.developed_area_m2 = surface.area_m2;
    envelope.surfaces.push_back(std::move(surface));
}

}  // namespace

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

Envelope with_ground(const Envelope& envelope, const GroundOptions& options, double contact_gap_m) {
    check(options);
    Envelope result = envelope;
    const Plan plan = plan_of(envelope);
    if (!std::isfinite(plan.top_m)) return result;
    const Vec2 reach = Vec2::Constant(reach_of(envelope, plan, options));
    const Vec2 low = plan.low - reach, high = plan.high + reach;
    const ConvexPolygon all = rectangle(low, high);
    const std::vector<Zone> zones =
        zones_of(cells_of_ground(low, high, options, wall_lines(envelope)));
    PlaneRegion rest =
        PlaneRegion::union_of(std::span(&all, 1)).without(footprints(envelope, contact_gap_m));
    for (const GroundRegion& region : options.regions) {
        const PlaneRegion own = region_of(region);
        append_surface(result, "ground/" + region.name, rest.within(own), low, zones);
        rest = rest.without(own);
    }
    append_surface(result, "ground", rest, low, zones);
    return result;
}

std::size_t n_building_surfaces(const Envelope& envelope) {
    const auto first = std::find_if(
        envelope.surfaces.begin(), envelope.surfaces.end(), [](const Surface& surface) {
            return surface.kind == SurfaceKind::context || surface.kind == SurfaceKind::ground;
        });
    return static_cast<std::size_t>(first - envelope.surfaces.begin());
}

}  // namespace noonshell
