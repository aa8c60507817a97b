#include "solar/close_by.hpp"

#include <algorithm>
#include <map>

#include "solar/ray_scene.hpp"

namespace noonshell {

namespace {

constexpr double facing_cosine = -0.866;  // within 30 degrees

/// The surface of a blocker that a ray meets; of a sheet the side that it comes from.
SurfaceId met_side(const Envelope& building, std::uint32_t triangle, const Vec3& direction) {
    const SurfaceId id = building.triangle_surface[triangle];
    if (!id.valid()) return id;
    const Surface& surface = building.surfaces[id.index()];
    const bool from_behind = surface.normal.dot(direction) > 0;
    return from_behind && surface.other_side.valid() ? surface.other_side : id;
}

bool belong_together(const Surface& a, const Surface& b) {
    return a.unit.valid() || b.unit.valid() ? a.unit == b.unit : a.body == b.body;
}

}  // namespace

std::vector<CloseBy> find_close_by(const Envelope& building, const RayScene& scene) {
    const FacetArrays& facets = building.facets;
    std::vector<Vec3> origins, normals;
    std::vector<std::size_t> facet;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        if (facets.covered[f] != 0) continue;
        facet.push_back(f);
        normals.push_back(facets.normal[f]);
        origins.push_back(facets.centroid_m[f] + facets.normal[f] * ray_offset_m);
    }
    std::vector<RayHit> hits(facet.size());
    scene.first_hits(origins, normals, hits);
    std::vector<CloseBy> close(building.surfaces.size());
    std::vector<std::map<SurfaceId, double>> others_m2(building.surfaces.size());
    std::vector<double> open_m2(building.surfaces.size(), 0.0);
    for (std::size_t i = 0; i < facet.size(); ++i) {
        const SurfaceId own = facets.surface[facet[i]];
        const double area_m2 = facets.area_m2[facet[i]];
        open_m2[own.index()] += area_m2;
        if (hits[i].triangle == RayHit::nothing || hits[i].distance_m > close_by_m) continue;
        const SurfaceId met = met_side(building, hits[i].triangle, normals[i]);
        if (!met.valid()) continue;
        const Surface& other = building.surfaces[met.index()];
        if (belong_together(building.surfaces[own.index()], other) ||
            other.normal.dot(normals[i]) > facing_cosine)
            continue;
        CloseBy& found = close[own.index()];
        found.covered_m2 += area_m2;
        found.clearance_m += area_m2 * (hits[i].distance_m + ray_offset_m);
        others_m2[own.index()][met] += area_m2;
    }
    for (std::size_t s = 0; s < close.size(); ++s) {
        if (close[s].covered_m2 <= 0) continue;
        close[s].share = std::min(1.0, close[s].covered_m2 / open_m2[s]);
        close[s].clearance_m /= close[s].covered_m2;
        for (const auto& [surface, area_m2] : others_m2[s])
            close[s].others.push_back({surface, area_m2 / close[s].covered_m2});
    }
    return close;
}

}  // namespace noonshell
