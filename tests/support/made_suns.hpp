// Suns and weather made by hand: single suns for closed forms, and a year of suns by the plain
// textbook relation (declination after Cooper 1969, no equation of time), so that tests of shade do
// not depend on the project's own sun position.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/sun_path.hpp"
#include "solar/weather.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {

struct MadeSuns {
    SunPath path;
    Weather weather;

    MadeSuns() { path.hour_begin = {0}; }

    /// One hour with the given suns, all of them up.
    void add_hour(const std::vector<Vec3>& suns, double direct_normal, double diffuse) {
        constexpr double degree = std::numbers::pi / 180;
        for (const Vec3& sun : suns) {
            path.direction.push_back(sun);
            path.elevation_deg.push_back(std::asin(std::clamp(sun.z(), -1.0, 1.0)) / degree);
            path.azimuth_deg.push_back(std::fmod(std::atan2(sun.x(), sun.y()) / degree + 360, 360));
        }
        path.hour_begin.push_back(static_cast<std::uint32_t>(path.direction.size()));
        const auto hour = static_cast<long>(weather.hour_start_utc.size());
        using namespace std::chrono;
        weather.hour_start_utc.push_back(sys_days{year(2021) / January / 1} + hours(hour));
        weather.direct_normal_w_m2.push_back(direct_normal);
        weather.diffuse_w_m2.push_back(diffuse);
        weather.global_w_m2.push_back(diffuse);
        weather.dry_bulb_c.push_back(30);
        weather.dew_point_c.push_back(5);
        weather.wind_speed_m_s.push_back(2);
        weather.pressure_pa.push_back(101325);
    }
};

inline MadeSuns one_sun(double azimuth_deg, double elevation_deg, double direct_normal = 1000,
                        double diffuse = 0) {
    MadeSuns made;
    made.add_hour({toward_sun(azimuth_deg, elevation_deg)}, direct_normal, diffuse);
    return made;
}

/// Every `day_stride`-th day of a year, ten-minute suns; `turn_deg` turns all suns clockwise.
inline MadeSuns sun_year(double latitude_deg, int day_stride = 1, double turn_deg = 0,
                         int steps_per_hour = 6) {
    constexpr double degree = std::numbers::pi / 180;
    MadeSuns made;
    made.path.step_s = 3600.0 / steps_per_hour;
    const double latitude = latitude_deg * degree;
    for (int day = 1; day <= 365; day += day_stride) {
        const double declination =
            23.45 * degree * std::sin(2 * std::numbers::pi * (284 + day) / 365);
        for (int hour = 0; hour < 24; ++hour) {
            std::vector<Vec3> suns;
            for (int k = 0; k < steps_per_hour; ++k) {
                const double t = (hour + (k + 0.5) / steps_per_hour - 12) * 15 * degree;
                const Vec3 east_north_up(
                    -std::cos(declination) * std::sin(t),
                    std::cos(latitude) * std::sin(declination) -
                        std::sin(latitude) * std::cos(declination) * std::cos(t),
                    std::sin(latitude) * std::sin(declination) +
                        std::cos(latitude) * std::cos(declination) * std::cos(t));
                if (east_north_up.z() <= 0) continue;
                const Eigen::AngleAxisd turn(-turn_deg * degree, Vec3::UnitZ());
                suns.push_back(turn * east_north_up);
            }
            const double up = suns.empty() ? 0 : 1;
            made.add_hour(suns, 850 * up, 90 * up);
        }
    }
    return made;
}

}  // namespace noonshell
