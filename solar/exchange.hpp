// What every facet sees: shares of sky, horizon band, ground and surfaces, by hemisphere rays.
// One matrix serves bounced light and longwave heat.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/ray_scene.hpp"

namespace noonshell {

struct ExchangeOptions {
    std::uint32_t rays_per_facet = 512;  ///< cosine-weighted, low-discrepancy; a power of two
    double horizon_band_deg = 6.5;       ///< sky below this elevation is the horizon band
    unsigned threads = 0;                ///< 0: all
};

/// Rows sum to 1: sky + ground + context + surfaces. Covered facets have rows of zeros.
struct ExchangeMatrix {
    std::size_t n_facets = 0;
    std::size_t n_surfaces = 0;
    std::vector<double> sky_share;      ///< cosine-weighted, #facets
    std::vector<double> horizon_share;  ///< sky seen in the horizon band over that seen by a free
                                        ///< vertical wall, times sin(tilt); so that a free facet has
                                        ///< sin(tilt), as [perez1990] wants; #facets
    std::vector<double> ground_share;   ///< #facets
    std::vector<double> context_share;  ///< bodies without surfaces of their own, #facets

    /// Facet to surface, compressed rows: entries of facet f are [row_begin[f], row_begin[f + 1]).
    std::vector<std::uint32_t> row_begin;  ///< #facets + 1
    std::vector<SurfaceId> column;
    std::vector<double> share;

    /// Surface to surface: area means over exposed facets with A_i F_ij = A_j F_ji enforced; rows
    /// [surface_row_begin[s], ...). The largest change made by that is reciprocity_error.
    std::vector<std::uint32_t> surface_row_begin;  ///< #surfaces + 1
    std::vector<SurfaceId> surface_column;
    std::vector<double> surface_share;
    std::vector<double> surface_sky_share;      ///< #surfaces
    std::vector<double> surface_ground_share;   ///< #surfaces
    std::vector<double> surface_context_share;  ///< #surfaces
    double reciprocity_error = 0;
};

ExchangeMatrix trace_exchange(const Envelope& envelope, const RayScene& scene,
                              const ExchangeOptions& options = {});

}  // namespace noonshell
