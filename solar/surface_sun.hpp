// The sun of the whole period by surface, as reports show it.
#pragma once

#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"

namespace noonshell {

/// Sums over the period, means over the whole surface with its covered parts counted as dark; all
/// arrays #surfaces.
struct SurfaceSun {
    std::vector<double> direct_wh_m2, sky_wh_m2, ground_wh_m2, bounced_wh_m2;
    std::vector<double> unshaded_direct_wh_m2;  ///< with nothing in the way, covered parts included
    std::vector<double> sun_time_h;             ///< area mean of the time with direct sun
    std::vector<double> direct_standard_error_wh_m2;  ///< facets taken as independent

    double total_wh_m2(SurfaceId s) const {
        return direct_wh_m2[s.index()] + sky_wh_m2[s.index()] + ground_wh_m2[s.index()] +
               bounced_wh_m2[s.index()];
    }
};

SurfaceSun surface_sun(const Envelope& envelope, const Sunlight& sunlight,
                       const Exposure& exposure);

}  // namespace noonshell
