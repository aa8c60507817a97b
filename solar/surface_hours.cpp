#include "solar/surface_hours.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "geometry/diagnostics.hpp"
#include "geometry/ground.hpp"
#include "solar/common_year.hpp"
#include "solar/day_times.hpp"

namespace noonshell {

namespace {

constexpr std::uint32_t row_of_no_sun = ~0u;

double light_w_m2(const Exposure& exposure, std::size_t i) {
    return exposure.direct_w_m2[i] + exposure.sky_w_m2[i] + exposure.ground_w_m2[i] +
           exposure.bounced_w_m2[i];
}

void find_worst_hours(const Exposure& exposure, std::vector<SunTimes>& times) {
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        for (std::size_t s = 0; s < times.size(); ++s) {
            const double light = light_w_m2(exposure, exposure.begin_of(hour) + s);
            if (light <= times[s].worst_hour_w_m2) continue;
            times[s].worst_hour = hour;
            times[s].worst_hour_w_m2 = light;
        }
    }
}

void find_worst_days(const Site& site, const Weather& weather, const Exposure& exposure,
                     std::vector<SunTimes>& times) {
    using std::chrono::days;
    using std::chrono::floor;
    std::vector<double> sum(times.size());
    std::size_t begin = 0;
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        for (std::size_t s = 0; s < times.size(); ++s) {
            sum[s] += light_w_m2(exposure, exposure.begin_of(hour) + s);
        }
        const bool last_of_day =
            hour + 1 == exposure.n_hours || floor<days>(local_start(site, weather, hour)) !=
                                                floor<days>(local_start(site, weather, hour + 1));
        if (!last_of_day) continue;
        for (std::size_t s = 0; s < times.size(); ++s) {
            if (sum[s] <= times[s].worst_day_wh_m2) continue;
            times[s].worst_day_begin = begin;
            times[s].worst_day_wh_m2 = sum[s];
        }
        std::fill(sum.begin(), sum.end(), 0.0);
        begin = hour + 1;
    }
}

/// Lit cosines below this are what a reading between two suns leaves of a shadow's edge.
constexpr float least_lit_cosine = 0.01F;

bool any_lit(const LightParts& parts, const Sunlight& sunlight, std::size_t row, std::size_t s) {
    const float* lit = sunlight.part_lit_cosine.data() + row * sunlight.n_parts;
    return std::any_of(lit + parts.surface_begin[s], lit + parts.surface_begin[s + 1],
                       [](float cosine) { return cosine > least_lit_cosine; });
}

}  // namespace

SurfaceBins surface_bins(const Exposure& exposure, std::span<const std::uint8_t> bin_of_hour,
                         std::size_t bins) {
    if (!bin_of_hour.empty()) NOONSHELL_CHECK_EQ(bin_of_hour.size(), exposure.n_hours);
    SurfaceBins sums;
    const std::size_t n = sums.n_surfaces = exposure.n_surfaces;
    sums.n_bins = std::max(bins, n_bins(bin_of_hour));
    const auto add_up = [&](const std::vector<double>& by_hour, std::vector<double>& by_bin) {
        by_bin.assign(sums.n_bins * n, 0.0);
        for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
            const std::size_t bin = bin_of_hour.empty() ? 0 : bin_of_hour[hour];
            const std::size_t begin = exposure.begin_of(hour);
            for (std::size_t s = 0; s < n; ++s) by_bin[bin * n + s] += by_hour[begin + s];
        }
    };
    add_up(exposure.direct_w_m2, sums.direct_wh_m2);
    add_up(exposure.sky_w_m2, sums.sky_wh_m2);
    add_up(exposure.ground_w_m2, sums.ground_wh_m2);
    add_up(exposure.bounced_w_m2, sums.bounced_wh_m2);
    return sums;
}

std::vector<SunTimes> sun_times(const Envelope& envelope, const Site& site, const Weather& weather,
                                const SunPath& path, const LightParts& parts,
                                const Sunlight& sunlight, const Exposure& exposure) {
    std::vector<SunTimes> times(exposure.n_surfaces);
    find_worst_hours(exposure, times);
    find_worst_days(site, weather, exposure, times);
    for (std::size_t row = 0; row < sunlight.sun_hours.size(); ++row) {
        const std::size_t hour = sunlight.sun_hours[row];
        if (!(weather.direct_normal_w_m2[hour] > 0)) continue;
        const double start_s = time_of_day_s(site, weather, hour);
        for (std::size_t s = 0; s < times.size(); ++s) {
            const std::optional<double>& earliest = times[s].earliest_sun_s;
            const bool may_widen = !earliest || start_s < *earliest ||
                                   start_s + seconds_per_hour > *times[s].latest_sun_s;
            if (!may_widen || !any_lit(parts, sunlight, row, s)) continue;
            const Surface& surface = envelope.surfaces[s];
            const auto normals =
                std::span(envelope.facets.normal).subspan(surface.first_facet, surface.n_facets);
            widen(times[s], start_s, time_before(normals, path, hour));
        }
    }
    return times;
}

SunlitShare::SunlitShare(const Envelope& envelope, const SunPath& path, const LightParts& parts,
                         const Sunlight& sunlight)
    : path_(path), parts_(parts), sunlight_(sunlight), row_of_hour_(path.n_hours(), row_of_no_sun) {
    for (std::size_t row = 0; row < sunlight.sun_hours.size(); ++row) {
        row_of_hour_[sunlight.sun_hours[row]] = static_cast<std::uint32_t>(row);
    }
    const FacetArrays& facets = envelope.facets;
    for (std::size_t s = 0; s < n_building_surfaces(envelope); ++s) {
        const Surface& surface = envelope.surfaces[s];
        std::vector<Facing> facings;
        double area_m2 = 0;
        for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            area_m2 += facets.area_m2[f];
            if (facings.empty() || facings.back().normal != facets.normal[f]) {
                facings.push_back({facets.normal[f], 0});
            }
            facings.back().share += facets.area_m2[f];
        }
        for (Facing& facing : facings) facing.share /= area_m2;
        facings_.push_back(std::move(facings));
        area_m2_.push_back(area_m2);
    }
}

SunlitShare::Value SunlitShare::at(std::size_t hour, SurfaceId surface) const {
    const std::uint32_t row = row_of_hour_[hour];
    if (row == row_of_no_sun) return {};
    Value value;
    for (const Facing& facing : facings_[surface.index()])
        value.unshaded_cosine += facing.share * path_.beam_cosine(hour, facing.normal);
    if (value.unshaded_cosine <= 0) return value;
    double lit = 0;
    for (auto p = parts_.surface_begin[surface.index()];
         p < parts_.surface_begin[surface.index() + 1]; ++p) {
        lit += parts_.area_m2[p] *
               static_cast<double>(sunlight_.part_lit_cosine[row * sunlight_.n_parts + p]);
    }
    // Single precision may take a wholly lit surface a hair over 1.
    value.share = std::min(1.0, lit / (area_m2_[surface.index()] * value.unshaded_cosine));
    return value;
}

}  // namespace noonshell
