#include "solar/surface_sun.hpp"

#include <cmath>
#include <span>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

std::vector<double> over_hours(const Exposure& exposure, std::span<const double> irradiance_w_m2) {
    NOONSHELL_CHECK_EQ(irradiance_w_m2.size(), exposure.n_hours * exposure.n_surfaces);
    std::vector<double> sum(exposure.n_surfaces, 0.0);
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        for (std::size_t s = 0; s < sum.size(); ++s)
            sum[s] += irradiance_w_m2[hour * exposure.n_surfaces + s];
    }
    return sum;
}

std::vector<double> area_mean(const Envelope& envelope, std::span<const double> by_facet) {
    const FacetArrays& facets = envelope.facets;
    NOONSHELL_CHECK_EQ(by_facet.size(), facets.size());
    std::vector<double> mean;
    for (const Surface& surface : envelope.surfaces) {
        double sum = 0, area = 0;
        for (std::size_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            sum += facets.area_m2[f] * by_facet[f];
            area += facets.area_m2[f];
        }
        mean.push_back(area > 0 ? sum / area : 0.0);
    }
    return mean;
}

/// Standard error of an area mean of independent facet values.
std::vector<double> error_of_mean(const Envelope& envelope, std::span<const double> error) {
    const FacetArrays& facets = envelope.facets;
    NOONSHELL_CHECK_EQ(error.size(), facets.size());
    std::vector<double> result;
    for (const Surface& surface : envelope.surfaces) {
        double squares = 0, area = 0;
        for (std::size_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            const double weighted = facets.area_m2[f] * error[f];
            squares += weighted * weighted;
            area += facets.area_m2[f];
        }
        result.push_back(area > 0 ? std::sqrt(squares) / area : 0.0);
    }
    return result;
}

}  // namespace

SurfaceSun surface_sun(const Envelope& envelope, const Sunlight& sunlight,
                       const Exposure& exposure) {
    NOONSHELL_CHECK_EQ(exposure.n_surfaces, envelope.surfaces.size());
    SurfaceSun sun;
    sun.direct_wh_m2 = over_hours(exposure, exposure.direct_w_m2);
    sun.sky_wh_m2 = over_hours(exposure, exposure.sky_w_m2);
    sun.ground_wh_m2 = over_hours(exposure, exposure.ground_w_m2);
    sun.bounced_wh_m2 = over_hours(exposure, exposure.bounced_w_m2);
    sun.unshaded_direct_wh_m2 = area_mean(envelope, sunlight.unshaded_direct_wh_m2);
    sun.sun_time_h = area_mean(envelope, sunlight.sun_time_h);
    sun.direct_standard_error_wh_m2 = error_of_mean(envelope, sunlight.direct_standard_error_wh_m2);
    return sun;
}

}  // namespace noonshell
