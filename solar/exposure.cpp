#include "solar/exposure.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>
#include <sstream>

#include "solar/bounce.hpp"
#include "solar/clear_sky.hpp"
#include "solar/parallel.hpp"
#include "solar/sky.hpp"

namespace noonshell {

namespace {

constexpr std::size_t lanes = BounceSolver::lanes;
constexpr std::size_t no_row = static_cast<std::size_t>(-1);

/// The light of one hour before any surface is looked at.
struct HourLight {
    std::size_t hour = 0;
    std::size_t row = no_row;  // of Sunlight; none without a sun step
    double direct_normal_w_m2 = 0;
    SkyLight sky;
    double ground_w_m2 = 0;  // leaving open ground, which lies in full sun; other ground is dark
};

/// Day of the year in the site's standard time, 1..366.
double day_of_year(const Site& site, std::chrono::sys_seconds hour_start_utc) {
    using namespace std::chrono;
    const auto local = hour_start_utc + seconds(std::llround(site.utc_offset_h * 3600));
    const auto date = floor<days>(local);
    const year_month_day ymd{date};
    return static_cast<double>((date - sys_days{ymd.year() / January / 1}).count() + 1);
}

HourLight light_of_hour(const Site& site, const Weather& weather, const SunPath& path,
                        std::size_t hour) {
    HourLight light;
    light.hour = hour;
    const std::uint32_t begin = path.hour_begin[hour], end = path.hour_begin[hour + 1];
    const double diffuse = std::max(0.0, weather.diffuse_w_m2[hour]);
    if (begin == end) {
        light.sky.dome_w_m2 = diffuse;
        light.ground_w_m2 = site.ground_albedo * diffuse;
        return light;
    }
    double cos_zenith = 0, elevation_deg = 0;
    for (std::uint32_t step = begin; step < end; ++step) {
        cos_zenith += path.direction[step].z() / (end - begin);
        elevation_deg += path.elevation_deg[step] / (end - begin);
    }
    light.direct_normal_w_m2 = std::max(0.0, weather.direct_normal_w_m2[hour]);
    const double zenith_deg = std::acos(std::clamp(cos_zenith, 0.0, 1.0)) * 180 / std::numbers::pi;
    light.sky =
        perez_sky(light.direct_normal_w_m2, diffuse, zenith_deg,
                  extraterrestrial_normal_w_m2(day_of_year(site, weather.hour_start_utc[hour])),
                  relative_air_mass(elevation_deg));
    light.ground_w_m2 = site.ground_albedo * (light.direct_normal_w_m2 * cos_zenith + diffuse);
    return light;
}

/// Hours with any light, and the beam that no sun step can carry.
struct LitHours {
    std::vector<HourLight> hours;
    std::size_t without_sun = 0;
    double dropped_wh_m2 = 0;
};

LitHours list_hours(const Site& site, const Weather& weather, const SunPath& path,
                    const Sunlight& sunlight) {
    LitHours lit;
    std::size_t row = 0;
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        const bool has_row = row < sunlight.sun_hours.size() && sunlight.sun_hours[row] == hour;
        const bool beam = weather.direct_normal_w_m2[hour] > 0;
        if (beam && path.hour_begin[hour] == path.hour_begin[hour + 1]) {
            ++lit.without_sun;
            lit.dropped_wh_m2 += weather.direct_normal_w_m2[hour];
        }
        if (beam || weather.diffuse_w_m2[hour] > 0) {
            lit.hours.push_back(light_of_hour(site, weather, path, hour));
            if (has_row) lit.hours.back().row = row;
            NOONSHELL_CHECK_EQ(has_row, path.hour_begin[hour] < path.hour_begin[hour + 1]);
        }
        if (has_row) ++row;
    }
    NOONSHELL_CHECK_EQ(row, sunlight.sun_hours.size());
    return lit;
}

/// Writes up to `lanes` hours at a time.
class HourWriter {
  public:
    HourWriter(const Envelope& envelope, const Sunlight& sunlight, const ExchangeMatrix& exchange,
               const BounceSolver& solver, Exposure& result)
        : sunlight_(sunlight), exchange_(exchange), solver_(solver), result_(result) {
        std::vector<double> area_m2(exchange.n_surfaces, 0.0);
        for (std::size_t f = 0; f < envelope.facets.size(); ++f) {
            area_m2[envelope.facets.surface[f].index()] += envelope.facets.area_m2[f];
        }
        for (std::size_t s = 0; s < area_m2.size(); ++s) {
            const double exposed = exchange.surface_exposed_area_m2[s];
            exposed_part_.push_back(area_m2[s] > 0 ? exposed / area_m2[s] : 0);
        }
    }

    /// Returns the largest residual of these hours.
    double write(std::span<const HourLight> hours) const {
        const std::size_t n = exchange_.n_surfaces;
        std::vector<double> arriving(n * lanes, 0.0), bounced(n * lanes, 0.0);
        for (std::size_t k = 0; k < hours.size(); ++k) {
            for (std::size_t s = 0; s < n; ++s) {
                if (exposed_part_[s] > 0) arriving[s * lanes + k] = write_straight(hours[k], s);
            }
        }
        const auto balances = solver_.solve(arriving, bounced);
        double residual = 0;
        for (std::size_t k = 0; k < hours.size(); ++k) {
            for (std::size_t s = 0; s < n; ++s) {
                result_.bounced_w_m2[result_.at(hours[k].hour, SurfaceId(s))] =
                    exposed_part_[s] * bounced[s * lanes + k];
            }
            residual = std::max(residual, balances[k].residual());
        }
        return residual;
    }

  private:
    /// Light seen straight; returns its mean over the exposed part.
    double write_straight(const HourLight& light, std::size_t s) const {
        const double part = exposed_part_[s];
        const double lit_cosine =
            light.row == no_row
                ? 0.0
                : static_cast<double>(
                      sunlight_.surface_lit_cosine[light.row * sunlight_.n_surfaces + s]);
        const double direct = light.direct_normal_w_m2 * lit_cosine;
        // The horizon part may be negative; where it would outweigh the rest there is no light.
        const double sky =
            std::max(0.0, light.sky.dome_w_m2 * exchange_.surface_sky_share[s] * part +
                              light.sky.circumsolar_w_m2 * lit_cosine +
                              light.sky.horizon_w_m2 * exchange_.surface_horizon_share[s] * part);
        const double ground = light.ground_w_m2 * exchange_.surface_ground_open_share[s] * part;
        const std::size_t i = result_.at(light.hour, SurfaceId(s));
        result_.direct_w_m2[i] = direct;
        result_.sky_w_m2[i] = sky;
        result_.ground_w_m2[i] = ground;
        return (direct + sky + ground) / part;
    }

    const Sunlight& sunlight_;
    const ExchangeMatrix& exchange_;
    const BounceSolver& solver_;
    Exposure& result_;
    std::vector<double> exposed_part_;  // of the whole area, #surfaces
};

void warn_of_dropped_beam(const LitHours& lit, std::vector<Warning>& warnings) {
    if (lit.without_sun == 0) return;
    std::ostringstream text;
    text << lit.without_sun << " hours have direct sun in the weather but no sun step above the "
         << "horizon; " << lit.dropped_wh_m2 / 1000 << " kWh/m2 of beam are left out";
    warnings.push_back({"beam-without-sun", text.str(), "weather"});
}

}  // namespace

Exposure expose(const Envelope& envelope, const Site& site, const Weather& weather,
                const SunPath& path, const Sunlight& sunlight, const ExchangeMatrix& exchange,
                std::span<const double> reflectance, unsigned threads) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    NOONSHELL_CHECK_EQ(sunlight.n_surfaces, envelope.surfaces.size());
    NOONSHELL_CHECK_EQ(exchange.n_surfaces, envelope.surfaces.size());
    Exposure result;
    result.n_hours = weather.size();
    result.n_surfaces = envelope.surfaces.size();
    for (auto* field :
         {&result.direct_w_m2, &result.sky_w_m2, &result.ground_w_m2, &result.bounced_w_m2}) {
        field->assign(result.n_hours * result.n_surfaces, 0.0);
    }
    const LitHours lit = list_hours(site, weather, path, sunlight);
    warn_of_dropped_beam(lit, result.warnings);
    const BounceSolver solver(exchange, reflectance);
    const HourWriter writer(envelope, sunlight, exchange, solver, result);
    const std::size_t n_tasks = (lit.hours.size() + lanes - 1) / lanes;
    std::vector<double> residuals(n_tasks, 0.0);
    for_each_task(threads, n_tasks, [&](std::size_t task) {
        const std::size_t begin = task * lanes;
        const std::size_t count = std::min(lanes, lit.hours.size() - begin);
        residuals[task] = writer.write(std::span(lit.hours).subspan(begin, count));
    });
    for (const double residual : residuals) {
        result.solar_residual = std::max(result.solar_residual, residual);
    }
    return result;
}

}  // namespace noonshell
