#include "solar/exchange.hpp"

#include <algorithm>
#include <bit>
#include <string>

#include "geometry/diagnostics.hpp"
#include "geometry/ground.hpp"
#include "solar/facet_eye.hpp"
#include "solar/facet_groups.hpp"
#include "solar/parallel.hpp"

namespace noonshell {

namespace {

constexpr std::size_t facets_in_a_task = 128;

void check_rays(std::uint32_t rays) {
    if (std::has_single_bit(rays) && rays >= 16 && rays <= 65536) return;
    throw InputError({.file = {}, .line = {}, .column = {}, .entity = "rays_per_facet"},
                     "a power of two from 16 to 65536", std::to_string(rays));
}

void check_options(const Envelope& envelope, const ExchangeOptions& options) {
    check_rays(options.rays_per_facet);
    for (const std::uint32_t rays : options.rays_of_surface) check_rays(rays);
    if (!options.rays_of_surface.empty()) {
        NOONSHELL_CHECK_EQ(options.rays_of_surface.size(), envelope.surfaces.size());
    }
    if (!(options.horizon_band_deg >= 0 && options.horizon_band_deg <= 90)) {
        throw InputError({.file = {}, .line = {}, .column = {}, .entity = "horizon_band_deg"},
                         "0 to 90", std::to_string(options.horizon_band_deg));
    }
}

std::uint32_t rays_of(const Envelope& envelope, const ExchangeOptions& options, std::size_t facet) {
    if (options.rays_of_surface.empty()) return options.rays_per_facet;
    return options.rays_of_surface[envelope.facets.surface[facet].index()];
}

/// What every facet sees; facets below the ground plane see ground, covered ones nothing.
std::vector<FacetView> look_from_all(const ViewedScene& viewed,
                                     std::vector<std::uint32_t>& n_rays) {
    const Envelope& envelope = viewed.envelope;
    const std::size_t n = envelope.facets.size();
    const std::size_t n_regions = viewed.options.ground_regions.size();
    std::vector<FacetView> views(n);
    n_rays.assign(n, 0);
    const std::size_t n_tasks = (n + facets_in_a_task - 1) / facets_in_a_task;
    for_each_task(viewed.options.threads, n_tasks, [&](std::size_t task) {
        FacetEye eye(viewed);
        const std::size_t begin = task * facets_in_a_task;
        const std::size_t end = std::min(begin + facets_in_a_task, n);
        for (std::size_t f = begin; f < end; ++f) {
            if (takes_light(envelope, f)) {
                n_rays[f] = rays_of(envelope, viewed.options, f);
                views[f] = eye.look(f, n_rays[f]);
            } else if (envelope.facets.covered[f] == 0) {
                views[f].ground = 1;
            }
            views[f].region.resize(n_regions, 0.0);
        }
    });
    return views;
}

void fill_facet_rows(const std::vector<FacetView>& views, ExchangeMatrix& matrix) {
    matrix.n_facets = views.size();
    matrix.row_begin = {0};
    for (const FacetView& view : views) {
        matrix.sky_share.push_back(view.sky);
        matrix.horizon_share.push_back(view.horizon);
        matrix.ground_share.push_back(view.ground);
        matrix.region_share.insert(matrix.region_share.end(), view.region.begin(),
                                   view.region.end());
        matrix.context_share.push_back(view.context);
        matrix.sky_standard_error.push_back(view.sky_error);
        matrix.horizon_standard_error.push_back(view.horizon_error);
        matrix.evenness.push_back(view.evenness);
        for (const auto& [part, share] : view.parts) {
            matrix.column.emplace_back(part);
            matrix.share.push_back(share);
        }
        matrix.row_begin.push_back(static_cast<std::uint32_t>(matrix.share.size()));
    }
}

SeenAreas seen_by_parts(const Envelope& envelope, const std::vector<FacetView>& views,
                        const ExchangeMatrix& matrix) {
    SeenAreas seen(matrix.parts.size());
    seen.entries.reserve(matrix.share.size());
    for (std::size_t f = 0; f < views.size(); ++f) {
        const PartId part = matrix.parts.of_facet[f];
        if (!part.valid()) continue;
        const std::size_t p = part.index();
        const double area = envelope.facets.area_m2[f];
        const FacetView& view = views[f];
        seen.area_m2[p] += area;
        seen.n_rays[p] += matrix.n_rays[f];
        seen.sky[p] += area * view.sky;
        seen.horizon[p] += area * view.horizon;
        seen.ground[p] += area * view.ground;
        seen.context[p] += area * view.context;
        for (const auto& [other, share] : view.parts) {
            seen.entries.push_back({part.value, other, area * share});
        }
    }
    return seen;
}

std::size_t first_ground_surface(const Envelope& envelope) {
    const auto first = std::ranges::find(envelope.surfaces, SurfaceKind::ground, &Surface::kind);
    return static_cast<std::size_t>(first - envelope.surfaces.begin());
}

std::vector<std::uint32_t> surfaces_of(const LightParts& parts) {
    std::vector<std::uint32_t> surface;
    for (const SurfaceId s : parts.surface) surface.push_back(s.value);
    return surface;
}

/// Facets of the building below the ground plane have no part, but count in their surface as seeing
/// ground alone.
void add_buried_facets(const Envelope& envelope, const LightParts& parts, ExchangeNet& surfaces) {
    std::vector<double> buried_m2(surfaces.size());
    for (std::size_t f = 0; f < parts.of_facet.size(); ++f) {
        const std::size_t s = envelope.facets.surface[f].index();
        if (s >= surfaces.size() || envelope.facets.covered[f] != 0) continue;
        if (!parts.of_facet[f].valid()) buried_m2[s] += envelope.facets.area_m2[f];
    }
    for (std::size_t s = 0; s < surfaces.size(); ++s) {
        if (buried_m2[s] <= 0) continue;
        const double after = surfaces.area_m2[s] + buried_m2[s];
        const double scale = surfaces.area_m2[s] / after;
        surfaces.area_m2[s] = after;
        for (auto* field : {&surfaces.sky_share, &surfaces.horizon_share, &surfaces.ground_share,
                            &surfaces.context_share}) {
            (*field)[s] *= scale;
        }
        surfaces.ground_share[s] += buried_m2[s] / after;
        for (auto e = surfaces.row_begin[s]; e < surfaces.row_begin[s + 1]; ++e) {
            surfaces.share[e] *= scale;
        }
    }
}

}  // namespace

ExchangeMatrix trace_exchange(const Envelope& envelope, const RayScene& scene,
                              const ExchangeOptions& options) {
    check_options(envelope, options);
    NOONSHELL_CHECK_EQ(envelope.triangle_surface.size(), envelope.blockers.triangles.size());
    ExchangeMatrix matrix;
    matrix.parts =
        options.parts == nullptr ? light_parts(envelope, options.part_size_m) : *options.parts;
    const FacetFinder finder(envelope);
    const ViewedScene viewed{envelope, scene, options, matrix.parts, finder};
    const std::vector<FacetView> views = look_from_all(viewed, matrix.n_rays);
    fill_facet_rows(views, matrix);
    const SeenAreas seen = seen_by_parts(envelope, views, matrix);
    matrix.part_net = reciprocal_net(seen);
    const std::vector<std::uint32_t> surface_of = surfaces_of(matrix.parts);
    const std::size_t n_surfaces = n_building_surfaces(envelope);
    const NodeGroups groups{surface_of, n_surfaces, first_ground_surface(envelope)};
    matrix.surfaces = joined_nodes(matrix.part_net, groups);
    matrix.reciprocity_error = largest_change(matrix.surfaces, joined_nodes(seen, groups));
    add_buried_facets(envelope, matrix.parts, matrix.surfaces);
    return matrix;
}

}  // namespace noonshell
