#include "solar/sun_path.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <sstream>

#include "geometry/diagnostics.hpp"
#include "solar/beam_share.hpp"
#include "solar/standard_air.hpp"
#include "solar/sun_position.hpp"

namespace noonshell {

namespace {

double standard_pressure_hpa(double elevation_m) {
    constexpr double pa_per_hpa = 100;
    return standard_pressure_pa(elevation_m) / pa_per_hpa;
}

double decimal_year(double julian_day) {
    return 2000.0 + (julian_day - 2451544.5) / 365.2425;
}

/// Sun seen from the earth's centre, by cubics through the places at four midnights (UT) around the
/// instant. The shortest wave with weight, 0.2 arcsec at 13.7 days, is met to 1e-7 deg.
class GeocentricCourse {
  public:
    GeocentricSun at(double julian_day) {
        const double first = std::floor(julian_day - 0.5) + 0.5 - 1.0;
        if (first != first_midnight_) move_to(first);
        const double s = julian_day - first;
        const std::array<double, 4> weight = {
            (s - 1.0) * (s - 2.0) * (s - 3.0) / -6.0, s * (s - 2.0) * (s - 3.0) / 2.0,
            s * (s - 1.0) * (s - 3.0) / -2.0, s * (s - 1.0) * (s - 2.0) / 6.0};
        GeocentricSun sun{0.0, 0.0, 0.0, 0.0};
        for (std::size_t k = 0; k < 4; ++k) {
            const double turn = midnight_[k].right_ascension_deg < midnight_[0].right_ascension_deg
                                    ? 360.0
                                    : 0.0;  // right ascension only grows, but for the turn at 360
            sun.right_ascension_deg += weight[k] * (midnight_[k].right_ascension_deg + turn);
            sun.declination_deg += weight[k] * midnight_[k].declination_deg;
            sun.distance_au += weight[k] * midnight_[k].distance_au;
            sun.equation_of_equinoxes_deg += weight[k] * midnight_[k].equation_of_equinoxes_deg;
        }
        return sun;
    }

  private:
    void move_to(double first) {
        const bool next_day = first == first_midnight_ + 1.0;
        if (next_day) midnight_ = {midnight_[1], midnight_[2], midnight_[3], {}};
        for (std::size_t k = next_day ? 3 : 0; k < 4; ++k) {
            const double midnight = first + static_cast<double>(k);
            midnight_[k] = geocentric_sun(midnight, estimated_delta_t_s(decimal_year(midnight)));
        }
        first_midnight_ = first;
    }

    double first_midnight_ = -std::numeric_limits<double>::infinity();
    std::array<GeocentricSun, 4> midnight_;
};

double mean_dry_bulb_c(const Weather& weather) {
    if (weather.dry_bulb_c.empty()) return 15.0;
    double sum = 0.0;
    for (const double value : weather.dry_bulb_c) sum += value;
    return sum / static_cast<double>(weather.dry_bulb_c.size());
}

std::uint32_t steps_per_hour(double step_s) {
    const double steps = std::round(3600.0 / step_s);
    if (step_s > 0.0 && steps >= 1.0 && steps <= 3600.0 &&
        std::abs(steps * step_s - 3600.0) < 1e-6) {
        return static_cast<std::uint32_t>(steps);
    }
    std::ostringstream seen;
    seen << step_s;
    throw InputError({.file = {}, .line = {}, .column = {}, .entity = "sun_step_s"},
                     "a number of seconds from 1 to 3600 that divides 3600", seen.str());
}

SunPositionInput place_of(const Site& site, const Weather& weather) {
    SunPositionInput place;
    place.latitude_deg = site.latitude_deg;
    place.longitude_deg = site.longitude_deg;
    place.elevation_m = site.elevation_m;
    place.temperature_c = mean_dry_bulb_c(weather);
    check_sun_place(place);
    place.pressure_hpa = standard_pressure_hpa(site.elevation_m);
    return place;
}

}  // namespace

double SunPath::beam_cosine(std::size_t hour, const Vec3& normal) const {
    const std::uint32_t begin = hour_begin[hour], end = hour_begin[hour + 1];
    double mean = 0;
    for (std::uint32_t step = begin; step < end; ++step)
        mean += beam_share_of(step, end - begin) * std::max(0.0, normal.dot(direction[step]));
    return mean;
}

SunPath sun_path(const Site& site, const Weather& weather, double step_s) {
    const std::uint32_t n_steps = steps_per_hour(step_s);
    const SunPositionInput place = place_of(site, weather);
    SunPath path;
    path.step_s = 3600.0 / n_steps;
    path.pole = direction_in_model_axes(0.0, site.latitude_deg, site.north_deg);
    path.hour_begin.reserve(weather.size() + 1);
    path.hour_begin.push_back(0);
    GeocentricCourse course;
    for (const auto& start : weather.hour_start_utc) {
        const auto start_s = static_cast<double>(start.time_since_epoch().count());
        for (std::uint32_t i = 0; i < n_steps; ++i) {
            const double jd = 2440587.5 + (start_s + (i + 0.5) * path.step_s) / 86400.0;
            const SunPosition sun = topocentric_sun(course.at(jd), jd, place);
            if (!(sun.elevation_deg > 0.0)) continue;
            path.direction.push_back(
                direction_in_model_axes(sun.azimuth_deg, sun.elevation_deg, site.north_deg));
            path.elevation_deg.push_back(sun.elevation_deg);
            path.azimuth_deg.push_back(sun.azimuth_deg);
            path.hidden.push_back(sun.elevation_deg < site.horizon.elevation_deg(sun.azimuth_deg));
        }
        path.hour_begin.push_back(static_cast<std::uint32_t>(path.size()));
    }
    const bool has_beam = weather.direct_normal_w_m2.size() == weather.size();
    path.beam_share = beam_shares(
        site,
        {.begin_utc = weather.hour_start_utc,
         .beam_w_m2 = has_beam ? std::span(weather.direct_normal_w_m2) : std::span<const double>(),
         .sun_begin = path.hour_begin,
         .elevation_deg = path.elevation_deg});
    return path;
}

}  // namespace noonshell
