#include "solar/surface_sun.hpp"

#include <algorithm>
#include <cmath>
#include <span>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

std::vector<double> over_hours(const Exposure& exposure, std::span<const double> irradiance_w_m2) {
    std::vector<double> sum(exposure.n_surfaces, 0.0);
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        const std::size_t begin = exposure.begin_of(hour);
        NOONSHELL_CHECK_LE(begin + sum.size(), irradiance_w_m2.size());
        for (std::size_t s = 0; s < sum.size(); ++s) sum[s] += irradiance_w_m2[begin + s];
    }
    return sum;
}

std::vector<double> area_mean(const Envelope& envelope, std::size_t n,
                              std::span<const double> by_facet) {
    const FacetArrays& facets = envelope.facets;
    NOONSHELL_CHECK_EQ(by_facet.size(), facets.size());
    std::vector<double> mean;
    for (const Surface& surface : std::span(envelope.surfaces).first(n)) {
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
std::vector<double> error_of_mean(const Envelope& envelope, std::size_t n,
                                  std::span<const double> error) {
    const FacetArrays& facets = envelope.facets;
    NOONSHELL_CHECK_EQ(error.size(), facets.size());
    std::vector<double> result;
    for (const Surface& surface : std::span(envelope.surfaces).first(n)) {
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

/// Sums over rays of what they bring, for a mean and its standard error. `stratum`: the exact share
/// of all rays that the light can come with, the half that goes down for light from the ground.
struct RaySums {
    double mean = 0, mean_of_squares = 0;

    void add(double share, double light) {
        mean += share * light;
        mean_of_squares += share * light * light;
    }
    double standard_error(std::uint32_t n, double stratum) const {
        if (n == 0 || stratum <= 0) return 0;
        const double variance = mean_of_squares - mean * mean / stratum;
        // What is left of equal numbers is rounding.
        return variance > 1e-12 * mean_of_squares ? std::sqrt(variance / n) : 0.0;
    }
};

/// What the ground and other surfaces send to facet f over the hours of `leaving` (#parts).
struct ThrownLight {
    RaySums ground, bounced;
};

ThrownLight thrown_light(const ExchangeMatrix& exchange, std::uint32_t first_ground_part,
                         std::span<const double> leaving, const FarAlbedo& far_albedo,
                         double open_ground, std::size_t f) {
    ThrownLight light;
    each_far_ground(exchange, far_albedo, f, [&](double share, double albedo) {
        light.ground.add(share, albedo * open_ground);
    });
    for (auto e = exchange.row_begin[f]; e < exchange.row_begin[f + 1]; ++e) {
        const std::size_t p = exchange.column[e].index();
        (p < first_ground_part ? light.bounced : light.ground).add(exchange.share[e], leaving[p]);
    }
    return light;
}

std::vector<double> sum_of_bins(std::span<const double> by_bin, std::size_t n_bins) {
    const std::size_t n = by_bin.size() / std::max<std::size_t>(n_bins, 1);
    std::vector<double> sum(n, 0.0);
    if (n == 0) return sum;
    for (std::size_t i = 0; i < by_bin.size(); ++i) sum[i % n] += by_bin[i];
    return sum;
}

double total(std::span<const double> values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return sum;
}

void add_errors(const Envelope& envelope, const Sunlight& sunlight, const ExchangeMatrix& exchange,
                const Exposure& exposure, FacetSun& sun) {
    const std::vector<double> leaving = sum_of_bins(exposure.leaving_by_bin_wh_m2, sun.n_bins);
    const std::vector<double> circumsolar =
        sum_of_bins(sunlight.circumsolar_by_bin_wh_m2, sun.n_bins);
    const double dome = total(exposure.dome_by_bin_wh_m2);
    const double horizon = total(exposure.horizon_by_bin_wh_m2);
    const double open_ground = total(exposure.open_ground_by_bin_wh_m2);
    const std::uint32_t first_ground = exchange.parts.first_ground;
    sun.direct_standard_error_wh_m2 = sunlight.direct_standard_error_wh_m2;
    for (std::size_t f = 0; f < sun.n_facets; ++f) {
        // The circumsolar part falls where direct sun does, and errs as that does.
        const double direct = sunlight.direct_wh_m2[f];
        const double around_sun =
            direct > 0 ? circumsolar[f] / direct * sun.direct_standard_error_wh_m2[f] : 0.0;
        sun.sky_standard_error_wh_m2.push_back(
            std::hypot(around_sun, dome * exchange.sky_standard_error[f],
                       horizon * exchange.horizon_standard_error[f]));
        const ThrownLight light =
            thrown_light(exchange, first_ground, leaving, exposure.far_albedo, open_ground, f);
        const double downward = 0.5 * (1 - envelope.facets.normal[f].z());
        sun.ground_standard_error_wh_m2.push_back(
            light.ground.standard_error(exchange.n_rays[f], downward));
        sun.bounced_standard_error_wh_m2.push_back(
            light.bounced.standard_error(exchange.n_rays[f], 1));
    }
}

}  // namespace

FacetSun facet_sun(const Envelope& envelope, const Sunlight& sunlight,
                   const ExchangeMatrix& exchange, const Exposure& exposure) {
    NOONSHELL_CHECK_EQ(exchange.n_facets, envelope.facets.size());
    NOONSHELL_CHECK_EQ(sunlight.n_bins, exposure.n_bins);
    NOONSHELL_CHECK_GT(exposure.n_bins, 0u);
    FacetSun sun;
    sun.n_facets = envelope.facets.size();
    sun.n_bins = exposure.n_bins;
    sun.direct_wh_m2 = sunlight.direct_by_bin_wh_m2;
    const std::uint32_t first_ground = exchange.parts.first_ground;
    for (std::size_t bin = 0; bin < sun.n_bins; ++bin) {
        const auto leaving = std::span(exposure.leaving_by_bin_wh_m2)
                                 .subspan(bin * exposure.n_parts, exposure.n_parts);
        for (std::size_t f = 0; f < sun.n_facets; ++f) {
            const std::size_t i = bin * sun.n_facets + f;
            const bool dark = !exchange.parts.of_facet[f].valid();
            sun.sky_wh_m2.push_back(
                std::max(0.0, exposure.dome_by_bin_wh_m2[bin] * exchange.sky_share[f] +
                                  sunlight.circumsolar_by_bin_wh_m2[i] +
                                  exposure.horizon_by_bin_wh_m2[bin] * exchange.horizon_share[f]));
            const ThrownLight light =
                dark ? ThrownLight{}
                     : thrown_light(exchange, first_ground, leaving, exposure.far_albedo,
                                    exposure.open_ground_by_bin_wh_m2[bin], f);
            sun.ground_wh_m2.push_back(light.ground.mean);
            sun.bounced_wh_m2.push_back(light.bounced.mean);
        }
    }
    add_errors(envelope, sunlight, exchange, exposure, sun);
    return sun;
}

SurfaceSun surface_sun(const Envelope& envelope, const Sunlight& sunlight, const Exposure& exposure,
                       const FacetSun& facets) {
    const std::size_t n = exposure.n_surfaces;
    SurfaceSun sun;
    sun.direct_wh_m2 = over_hours(exposure, exposure.direct_w_m2);
    sun.sky_wh_m2 = over_hours(exposure, exposure.sky_w_m2);
    sun.ground_wh_m2 = over_hours(exposure, exposure.ground_w_m2);
    sun.bounced_wh_m2 = over_hours(exposure, exposure.bounced_w_m2);
    sun.unshaded_direct_wh_m2 = area_mean(envelope, n, sunlight.unshaded_direct_wh_m2);
    sun.sun_time_h = area_mean(envelope, n, sunlight.sun_time_h);
    sun.direct_standard_error_wh_m2 =
        error_of_mean(envelope, n, facets.direct_standard_error_wh_m2);
    sun.sky_standard_error_wh_m2 = error_of_mean(envelope, n, facets.sky_standard_error_wh_m2);
    sun.ground_standard_error_wh_m2 =
        error_of_mean(envelope, n, facets.ground_standard_error_wh_m2);
    sun.bounced_standard_error_wh_m2 =
        error_of_mean(envelope, n, facets.bounced_standard_error_wh_m2);
    sun.unevenness_wh_m2.assign(n, 0.0);
    return sun;
}

}  // namespace noonshell
