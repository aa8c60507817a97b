#include "thermal/surroundings.hpp"

#include <chrono>
#include <cmath>
#include <numeric>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"
#include "thermal/air.hpp"
#include "thermal/construction.hpp"
#include "thermal/layered_wall.hpp"
#include "thermal/longwave.hpp"
#include "thermal/outside_face.hpp"
#include "thermal/room_moisture.hpp"

namespace noonshell {

namespace {

constexpr double ground_depth_m = 1.5;      // about the yearly damping depth of dry sand
constexpr double ground_settled_k = 0.005;  // change of the ground's face from pass to pass
constexpr int most_passes = 400;
constexpr std::size_t hours_that_settle = 2000;
constexpr double dry_air_gas_constant_j_kgk = 287.05;

/// Value at the end of `step` on straight lines between the hour labels; the hour before the first
/// is the last where the period is periodic.
double at_step_end(const std::vector<double>& by_hour, std::size_t step, std::size_t steps_per_hour,
                   bool periodic) {
    const std::size_t hour = step / steps_per_hour;
    const double along =
        static_cast<double>(step % steps_per_hour + 1) / static_cast<double>(steps_per_hour);
    const double end = by_hour[hour];
    const double start = hour > 0 ? by_hour[hour - 1] : (periodic ? by_hour.back() : end);
    return start + along * (end - start);
}

double mean_of(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double local_hour(const Site& site, const Weather& weather, std::size_t hour) {
    const auto seconds = weather.hour_start_utc[hour].time_since_epoch().count();
    const double utc_h = static_cast<double>(seconds % 86400) / 3600.0;
    return std::fmod(utc_h + site.utc_offset_h + 48.0, 24.0);
}

void fill_air_and_sky(Surroundings& out, const Site& site, const Weather& weather) {
    const std::size_t n_steps = out.n_hours * out.steps_per_hour;
    out.air_c.resize(n_steps);
    out.sky_longwave_w_m2.resize(n_steps);
    for (std::size_t s = 0; s < n_steps; ++s) {
        const std::size_t hour = s / out.steps_per_hour;
        const auto ended = [&](const std::vector<double>& series) {
            return at_step_end(series, s, out.steps_per_hour, weather.periodic);
        };
        out.air_c[s] = ended(weather.dry_bulb_c);
        if (!weather.longwave_down_w_m2.empty()) {
            out.sky_longwave_w_m2[s] = weather.longwave_down_w_m2[hour];
            continue;
        }
        const double clock_h =
            local_hour(site, weather, hour) + static_cast<double>(s % out.steps_per_hour + 1) /
                                                  static_cast<double>(out.steps_per_hour);
        double emissivity =
            clear_sky_emissivity(ended(weather.dew_point_c), clock_h, weather.pressure_pa[hour]);
        if (!weather.cloud_cover.empty())
            emissivity = cloudy_sky_emissivity(emissivity, ended(weather.cloud_cover));
        out.sky_longwave_w_m2[s] = sky_longwave_w_m2(out.air_c[s], emissivity);
    }
}

/// Hour of the week in which the period begins.
std::size_t first_week_hour(const Site& site, const Weather& weather,
                            std::optional<std::size_t> first_weekday) {
    const auto begin = weather.hour_start_utc.front() +
                       std::chrono::seconds(std::llround(site.utc_offset_h * seconds_per_hour));
    const std::chrono::weekday by_date(std::chrono::floor<std::chrono::days>(begin));
    const std::size_t day = first_weekday.value_or(by_date.iso_encoding() - 1);
    const auto hour =
        static_cast<std::size_t>(std::chrono::floor<std::chrono::hours>(begin).time_since_epoch() %
                                 std::chrono::days(1) / std::chrono::hours(1));
    return day * hours_per_day + hour;
}

void fill_hours(Surroundings& out, const Site& site, const Weather& weather,
                std::optional<std::size_t> first_weekday) {
    const std::size_t first = first_week_hour(site, weather, first_weekday);
    for (std::size_t h = 0; h < out.n_hours; ++h) {
        const double wind = out.wind_ratio * weather.wind_speed_m_s[h];
        out.forced_windward_w_m2k.push_back(
            forced_convection_w_m2k(out.convection, wind, WindSide::windward));
        out.forced_leeward_w_m2k.push_back(
            forced_convection_w_m2k(out.convection, wind, WindSide::leeward));
        out.forced_unknown_w_m2k.push_back(
            forced_convection_w_m2k(out.convection, wind, WindSide::unknown));
        out.week_hour.push_back((first + h) % hours_per_week);
        const double kelvin = weather.dry_bulb_c[h] + kelvin_at_0_c;
        out.air_heat_j_m3k.push_back(weather.pressure_pa[h] * air_specific_heat_j_kgk /
                                     (dry_air_gas_constant_j_kgk * kelvin));
    }
    out.wind_m_s = weather.wind_speed_m_s;
    out.wind_from_deg = weather.wind_direction_deg;
    out.pressure_pa = weather.pressure_pa;
    for (std::size_t h = 0; h < out.n_hours && !weather.dew_point_c.empty(); ++h) {
        out.humidity_kg_kg.push_back(
            saturated_humidity_kg_kg(weather.dew_point_c[h], weather.pressure_pa[h]));
    }
}

/// Sunlit ground: a column of dry sand under its own outside balance, run over the period again and
/// again until it no longer changes.
void fill_ground(Surroundings& out, double albedo, const Weather& weather, double emittance) {
    const Material* sand = find_material("dry sand");
    NOONSHELL_CHECK_EQ(sand != nullptr, true);
    const std::vector<Layer> layers{{*sand, ground_depth_m, std::nullopt}};
    const LayeredWall column(layers, out.step_s);
    WallState state = column.uniform_state(out.deep_ground_c);
    std::vector<double> particular(column.n_cells());
    const OutsideFace face = outside_face(0.0, emittance);

    out.ground_c.assign(out.n_steps(), out.deep_ground_c);
    double surface_c = out.deep_ground_c;
    double moved_k = ground_settled_k + 1;
    for (int pass = 0; pass < most_passes && (pass < 2 || moved_k > ground_settled_k); ++pass) {
        const double start_c = surface_c;
        for (std::size_t s = 0; s < out.n_steps(); ++s) {
            const std::size_t hour = s / out.steps_per_hour;
            const FaceConditions around{.absorbed_w_m2 = (1 - albedo) * weather.global_w_m2[hour],
                                        .longwave_in_w_m2 = out.sky_longwave_w_m2[s],
                                        .air_c = out.air_c[s],
                                        .forced_w_m2k = out.forced_unknown_w_m2k[hour]};
            const TwoPort port = column.prepare(state, particular);
            for (int loop = 0; loop < 4; ++loop) {
                const FaceLine line = linearise(face, out.convection, around, surface_c);
                surface_c = (line.q_w_m2 + port.r_a + port.ab * out.deep_ground_c) /
                            (line.h_w_m2k + port.aa);
            }
            column.advance(state, particular, surface_c, out.deep_ground_c);
            out.ground_c[s] = surface_c;
        }
        moved_k = std::abs(surface_c - start_c);
        if (out.n_hours > hours_that_settle) moved_k = 0;  // a year settles in its first pass
    }
    for (const double t : out.ground_c) {
        const double kelvin = t + kelvin_at_0_c;
        out.ground_longwave_w_m2.push_back(
            emittance * stefan_boltzmann_w_m2k4 * std::pow(kelvin, 4) +
            (1 - emittance) * out.sky_longwave_w_m2[out.ground_longwave_w_m2.size()]);
    }
}

}  // namespace

double Surroundings::mean_air_c() const {
    return mean_of(air_c);
}

Surroundings make_surroundings(const Site& site, const Weather& weather,
                               const SurroundingsOptions& options) {
    const double per_hour = 3600.0 / options.step_s;
    if (!(options.step_s > 0) || std::abs(per_hour - std::round(per_hour)) > 1e-9 || per_hour < 1) {
        throw InputError({.entity = "heat step"}, "a step that divides one hour",
                         std::to_string(options.step_s) + " s");
    }
    Surroundings out;
    out.step_s = options.step_s;
    out.steps_per_hour = static_cast<std::size_t>(std::lround(per_hour));
    out.n_hours = weather.size();
    out.convection = options.convection;
    out.wind_ratio = wind_over_that_of_a_station(options.terrain, wind_height_m);
    if (options.wind_by_height) out.wind_by_height = options.terrain;
    out.deep_ground_c = options.yearly_mean_c.value_or(mean_of(weather.dry_bulb_c));
    fill_air_and_sky(out, site, weather);
    fill_hours(out, site, weather, options.first_weekday);
    fill_ground(out, options.ground_albedo.value_or(site.ground_albedo), weather,
                options.ground_emittance);
    return out;
}

}  // namespace noonshell
