// What every facet sees: shares of sky, horizon band, ground and parts of surfaces, by hemisphere
// rays. One matrix serves bounced light and longwave heat.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/plane_region.hpp"
#include "solar/close_by.hpp"
#include "solar/exchange_net.hpp"
#include "solar/light_parts.hpp"
#include "solar/ray_scene.hpp"

namespace noonshell {

class HorizonProfile;

struct ExchangeOptions {
    std::uint32_t rays_per_facet = 512;  ///< cosine-weighted, low-discrepancy; a power of two,
                                         ///< 16..65536
    /// The same for each surface (#surfaces), where they are not to be alike; else empty.
    std::vector<std::uint32_t> rays_of_surface{};
    double part_size_m = 2.0;               ///< see light_parts()
    const LightParts* parts = nullptr;      ///< in place of part_size_m
    double horizon_band_deg = 6.5;          ///< sky below this elevation is the horizon band; 0..90
    std::uint32_t seed = 0;                 ///< another one gives other rays of the same kind
    double north_deg = 0;                   ///< of the model's +Y axis, for the hills
    const HorizonProfile* hills = nullptr;  ///< hide the sky below them; null: flat
    /// Regions of the ground that go on beyond its facets; of those that overlap the first holds.
    std::vector<PlaneRegion> ground_regions{};
    unsigned threads = 0;  ///< 0: all
};

/// Rows of facets sum to 1: sky + ground + context + parts. Covered facets have rows of zeros;
/// facets below the ground plane see nothing but ground.
struct ExchangeMatrix {
    std::size_t n_facets = 0;
    LightParts parts;

    std::vector<double> sky_share;      ///< cosine-weighted, #facets
    std::vector<double> horizon_share;  ///< visible part of the horizon band that the facet faces
                                        ///< (cosine-weighted) times sin(tilt): a free facet has
                                        ///< sin(tilt), as [perez1990] wants; #facets
    std::vector<double> ground_share;   ///< ground that is no facet, and hills; #facets
    std::vector<double> region_share;   ///< of that, what lies in each of the regions of far
                                        ///< ground: [facet * #regions + region]
    std::vector<double>
        context_share;  ///< what has no part: backs, context without surfaces; #facets
    /// Standard errors of the shares from the sampling, rays taken as independent within each of 64
    /// cells of directions (they are spread evenly there too: the true error is smaller), #facets.
    std::vector<double> sky_standard_error, horizon_standard_error;
    std::vector<std::uint32_t> n_rays;  ///< shot from each facet
    /// Variance of which surface a ray meets, within those cells over that of all rays: what of the
    /// noise of independent rays is left to rays spread evenly, #facets.
    std::vector<double> evenness;

    /// Facet to part, compressed rows: entries of facet f are [row_begin[f], row_begin[f + 1]),
    /// columns ascending; parts of the ground stand last.
    std::vector<std::uint32_t> row_begin;  ///< #facets + 1
    std::vector<PartId> column;
    std::vector<double> share;

    ExchangeNet part_net;  ///< between the parts, ground parts among them
    /// Between the surfaces of the building; the parts of context and ground are in context_share
    /// and ground_share here.
    ExchangeNet surfaces;
    /// Largest change of any surface's share by reciprocal_net(): how far both ways of counting
    /// were apart. Those of parts move more, by the noise of fewer rays.
    double reciprocity_error = 0;

    /// What stands close before the surfaces, #surfaces of the building; empty: nothing does.
    std::vector<CloseBy> close_by;

    /// Of the surface's parts together [m2].
    double part_area_m2(SurfaceId surface) const {
        double area = 0;
        for (auto p = parts.surface_begin[surface.index()];
             p < parts.surface_begin[surface.index() + 1]; ++p) {
            area += parts.area_m2[p];
        }
        return area;
    }
};

/// Shoots rays from every exposed facet. A ray that goes down ends on the ground plane (level,
/// endless, at ground_z_m) unless it meets a body first; where `envelope` has ground facets it ends
/// on one of them, beyond them on far ground. The free sky and ground of a tilted plane,
/// (1 + cos tilt) / 2 and (1 - cos tilt) / 2, are exact; rays estimate only what bodies and the
/// near ground take from each. A ray that goes up below the hills ends on far ground. Throws
/// InputError for an option out of range.
ExchangeMatrix trace_exchange(const Envelope& envelope, const RayScene& scene,
                              const ExchangeOptions& options = {});

}  // namespace noonshell
