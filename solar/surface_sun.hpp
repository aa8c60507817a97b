// The sun of the whole period by facet and by surface, as reports show it.
#pragma once

#include <cmath>
#include <cstddef>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"

namespace noonshell {

/// Incident light by facet and bin: [bin * n_facets + facet]; covered facets are dark. The light of
/// every hour is a sum over what the facet sees, so that its sum over hours needs the sums of the
/// sources alone. Where the horizon part of the sky outweighs the rest in single hours, those count
/// as negative here and as 0 in Exposure.
struct FacetSun {
    std::size_t n_facets = 0;
    std::size_t n_bins = 1;
    std::vector<double> direct_wh_m2, sky_wh_m2, ground_wh_m2, bounced_wh_m2;
    /// Of the whole period from the facet's own points and rays, #facets, these taken as
    /// independent but within the cells that they are spread over, and for ground light with the
    /// share that goes down exact.
    std::vector<double> direct_standard_error_wh_m2, sky_standard_error_wh_m2,
        ground_standard_error_wh_m2, bounced_standard_error_wh_m2;
};

FacetSun facet_sun(const Envelope& envelope, const Sunlight& sunlight,
                   const ExchangeMatrix& exchange, const Exposure& exposure);

/// Sums over the period, means over the whole surface with its covered parts counted as dark; all
/// arrays #surfaces of the building.
struct SurfaceSun {
    std::vector<double> direct_wh_m2, sky_wh_m2, ground_wh_m2, bounced_wh_m2;
    std::vector<double> unshaded_direct_wh_m2;  ///< with nothing in the way, covered parts included
    std::vector<double> sun_time_h;             ///< area mean of the time with direct sun
    /// From the sampling; facets taken as independent. For ground and bounced light
    /// set_thrown_errors() has the rest.
    std::vector<double> direct_standard_error_wh_m2, sky_standard_error_wh_m2,
        ground_standard_error_wh_m2, bounced_standard_error_wh_m2;
    /// Of those of ground and bounced light together, what light being even within parts does:
    /// neither points nor rays change that.
    std::vector<double> unevenness_wh_m2;

    double total_wh_m2(SurfaceId s) const {
        return direct_wh_m2[s.index()] + sky_wh_m2[s.index()] + ground_wh_m2[s.index()] +
               bounced_wh_m2[s.index()];
    }
    double standard_error_wh_m2(SurfaceId s) const {
        return std::hypot(
            std::hypot(direct_standard_error_wh_m2[s.index()], sky_standard_error_wh_m2[s.index()]),
            std::hypot(ground_standard_error_wh_m2[s.index()],
                       bounced_standard_error_wh_m2[s.index()]));
    }
};

SurfaceSun surface_sun(const Envelope& envelope, const Sunlight& sunlight, const Exposure& exposure,
                       const FacetSun& facets);

}  // namespace noonshell
