// What every facet sees: shares of sky, horizon band, ground and surfaces, by hemisphere rays.
// One matrix serves bounced light and longwave heat.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/ray_scene.hpp"

namespace noonshell {

struct ExchangeOptions {
    std::uint32_t rays_per_facet = 512;  ///< cosine-weighted, low-discrepancy; a power of two,
                                         ///< 16..65536
    double horizon_band_deg = 6.5;       ///< sky below this elevation is the horizon band; 0..90
    unsigned threads = 0;                ///< 0: all
};

/// Rows sum to 1: sky + ground + context + surfaces. Covered facets have rows of zeros; facets
/// below the ground plane see nothing but ground.
struct ExchangeMatrix {
    std::size_t n_facets = 0;
    std::size_t n_surfaces = 0;
    std::vector<double> sky_share;      ///< cosine-weighted, #facets
    std::vector<double> horizon_share;  ///< visible part of the horizon band that the facet faces
                                        ///< (cosine-weighted) times sin(tilt): a free facet has
                                        ///< sin(tilt), as [perez1990] wants; #facets
    std::vector<double> ground_share;   ///< #facets
    std::vector<double> ground_open_share;  ///< the part of it with nothing straight above, #facets
    std::vector<double> context_share;      ///< bodies without surfaces of their own, #facets

    /// Facet to surface, compressed rows: entries of facet f are [row_begin[f], row_begin[f + 1]).
    std::vector<std::uint32_t> row_begin;  ///< #facets + 1
    std::vector<SurfaceId> column;         ///< ascending in each row
    std::vector<double> share;

    /// Surface to surface: area means over exposed facets, then made to agree: A_i F_ij = A_j F_ji
    /// with exposed areas, and each row with its sky, ground and context sums to 1. Rows of surface
    /// s: [surface_row_begin[s], surface_row_begin[s + 1]); all zero for a wholly covered surface.
    std::vector<std::uint32_t> surface_row_begin;  ///< #surfaces + 1
    std::vector<SurfaceId> surface_column;         ///< ascending in each row
    std::vector<double> surface_share;
    std::vector<double> surface_sky_share;          ///< #surfaces
    std::vector<double> surface_horizon_share;      ///< #surfaces
    std::vector<double> surface_ground_share;       ///< #surfaces
    std::vector<double> surface_ground_open_share;  ///< #surfaces
    std::vector<double> surface_context_share;      ///< #surfaces
    std::vector<double> surface_exposed_area_m2;    ///< sum of its exposed facets, #surfaces
    double reciprocity_error = 0;  ///< largest change of any surface's share by that
};

/// Shoots rays_per_facet rays from every exposed facet. A ray that goes down ends on the ground
/// plane (level, endless, at ground_z_m) unless it meets a body first. The free sky and ground of a
/// tilted plane, (1 + cos tilt) / 2 and (1 - cos tilt) / 2, are exact; rays estimate only what
/// bodies take from each. Ground that a ray ends on counts as open when nothing stands straight
/// above that spot: a first cut at the shade that a building casts on its ground. Throws InputError
/// for an option out of range.
ExchangeMatrix trace_exchange(const Envelope& envelope, const RayScene& scene,
                              const ExchangeOptions& options = {});

}  // namespace noonshell
