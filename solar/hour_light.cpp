#include "solar/hour_light.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <sstream>

#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"

namespace noonshell {

namespace {

HourLight light_of_hour(const Site& site, const Weather& weather, const SunPath& path,
                        std::size_t hour, SkyModel model) {
    HourLight light;
    light.hour = static_cast<std::uint32_t>(hour);
    const std::uint32_t begin = path.hour_begin[hour], end = path.hour_begin[hour + 1];
    const double diffuse = std::max(0.0, weather.diffuse_w_m2[hour]);
    light.sun_up = begin < end;
    light.global_w_m2 = diffuse;
    light.sky.dome_w_m2 = diffuse;
    if (!light.sun_up) return light;
    double cos_zenith = 0, elevation_deg = 0;
    for (std::uint32_t step = begin; step < end; ++step) {
        cos_zenith += path.direction[step].z() / (end - begin);
        elevation_deg += path.elevation_deg[step] / (end - begin);
    }
    light.direct_normal_w_m2 = std::max(0.0, weather.direct_normal_w_m2[hour]);
    light.global_w_m2 += light.direct_normal_w_m2 * path.beam_cosine(hour, Vec3::UnitZ());
    if (model == SkyModel::even) return light;
    const double zenith_deg = std::acos(std::clamp(cos_zenith, 0.0, 1.0)) * 180 / std::numbers::pi;
    light.sky = perez_sky(
        light.direct_normal_w_m2, diffuse, zenith_deg,
        extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[hour])),
        relative_air_mass(elevation_deg));
    return light;
}

}  // namespace

std::size_t n_bins(std::span<const std::uint8_t> bin_of_hour) {
    if (bin_of_hour.empty()) return 1;
    return std::size_t{1} + *std::max_element(bin_of_hour.begin(), bin_of_hour.end());
}

LitHours lit_hours(const Site& site, const Weather& weather, const SunPath& path, SkyModel model) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    LitHours lit;
    std::size_t without_sun = 0;
    double dropped_wh_m2 = 0, beam_wh_m2 = 0;
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        const bool beam = weather.direct_normal_w_m2[hour] > 0;
        if (beam) beam_wh_m2 += weather.direct_normal_w_m2[hour];
        if (beam && path.hour_begin[hour] == path.hour_begin[hour + 1]) {
            ++without_sun;
            dropped_wh_m2 += weather.direct_normal_w_m2[hour];
        }
        if (!beam && !(weather.diffuse_w_m2[hour] > 0)) continue;
        lit.hours.push_back(light_of_hour(site, weather, path, hour, model));
    }
    // A sun that rises less than half a step before the hour ends has no step in it: of a year's
    // beam some millionths. A tenth of a percent is no such sunrise.
    constexpr double told_share = 1e-3;
    if (dropped_wh_m2 > told_share * beam_wh_m2) {
        std::ostringstream text;
        text << without_sun << " hours have direct sun in the weather but no sun step above the "
             << "horizon; " << dropped_wh_m2 / 1000 << " kWh/m2 of beam are left out";
        lit.warnings.push_back({"beam-without-sun", text.str(), "weather"});
    }
    return lit;
}

}  // namespace noonshell
