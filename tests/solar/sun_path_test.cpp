#include "solar/sun_path.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <numbers>

#include "geometry/diagnostics.hpp"
#include "solar/sun_position.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;

constexpr double deg = std::numbers::pi / 180.0;

Weather hours_from(sys_seconds begin, std::size_t n_hours, double dry_bulb_c = 15.0) {
    Weather weather;
    for (std::size_t h = 0; h < n_hours; ++h) {
        weather.hour_start_utc.push_back(begin + hours(h));
        weather.dry_bulb_c.push_back(dry_bulb_c);
    }
    return weather;
}

Site site_at(double latitude_deg, double longitude_deg, double elevation_m = 0.0) {
    Site site;
    site.latitude_deg = latitude_deg;
    site.longitude_deg = longitude_deg;
    site.elevation_m = elevation_m;
    return site;
}

double decimal_year(sys_seconds instant) {
    return 1970.0 + static_cast<double>(instant.time_since_epoch().count()) / 86400.0 / 365.2425;
}

SunPosition full_algorithm(const Site& site, sys_seconds instant, double pressure_hpa,
                           double temperature_c) {
    SunPositionInput input;
    input.instant_utc = instant;
    input.latitude_deg = site.latitude_deg;
    input.longitude_deg = site.longitude_deg;
    input.elevation_m = site.elevation_m;
    input.pressure_hpa = pressure_hpa;
    input.temperature_c = temperature_c;
    input.delta_t_s = estimated_delta_t_s(decimal_year(instant));
    return sun_position(input);
}

double separation_deg(const Vec3& a, const Vec3& b) {
    return std::atan2(a.cross(b).norm(), a.dot(b)) / deg;
}

std::size_t up_steps(const SunPath& path, std::size_t first_hour, std::size_t n_hours) {
    return path.hour_begin[first_hour + n_hours] - path.hour_begin[first_hour];
}

// The joined course against the full algorithm at every step of a year: the same steps are up, and
// no direction differs by 1e-5 deg.
double worst_deviation_deg(const Site& site, year y, double pressure_hpa) {
    const Weather weather = hours_from(sys_days{y / 1 / 1}, 8760, 21.0);
    const SunPath path = sun_path(site, weather, 600.0);
    double worst = 0.0;
    std::size_t next = 0;
    for (std::size_t h = 0; h < weather.size(); ++h) {
        for (int i = 0; i < 6; ++i) {
            const auto middle = weather.hour_start_utc[h] + seconds(600 * i + 300);
            const SunPosition sun = full_algorithm(site, middle, pressure_hpa, 21.0);
            if (!(sun.elevation_deg > 0.0)) continue;
            if (next == path.size()) return std::numeric_limits<double>::infinity();
            worst = std::max(
                worst, separation_deg(path.direction[next],
                                      direction_in_model_axes(sun.azimuth_deg, sun.elevation_deg,
                                                              site.north_deg)));
            ++next;
        }
        EXPECT_EQ(path.hour_begin[h + 1], next);
    }
    EXPECT_EQ(path.size(), next);
    return worst;
}

// Pressures of the standard atmosphere's tables: 1013.25 hPa at sea level, 845.56 at 1500 m,
// 701.09 at 3000 m (values from memory).
TEST(SunPath, StaysWithTheFullAlgorithm) {
    Site site = site_at(24.7, 46.7);
    site.north_deg = 23.0;
    const double sea_level = worst_deviation_deg(site, 2023y, 1013.25);
    const double at_1500_m = worst_deviation_deg(site_at(-33.0, -70.6, 1500.0), 1950y, 845.56);
    const double at_3000_m = worst_deviation_deg(site_at(68.0, 179.9, 3000.0), 2100y, 701.09);
    EXPECT_LT(sea_level, 1e-6);
    EXPECT_LT(at_1500_m, 1e-5);
    EXPECT_LT(at_3000_m, 1e-5);
    RecordProperty("sea_level_1e9_deg", std::to_string(sea_level * 1e9));
}

TEST(SunPath, RefractionFollowsPressureAndTemperature) {
    const Site high = site_at(30.0, 0.0, 3000.0);
    const Weather hot = hours_from(sys_days{2023y / 6 / 21}, 24, 40.0);
    const SunPath path = sun_path(high, hot, 600.0);
    const sys_seconds first = sys_days{2023y / 6 / 21};
    std::size_t hour = 0;
    while (path.hour_begin[hour + 1] == 0) ++hour;
    const auto in_hour = path.hour_begin[hour + 1];
    const auto middle = first + hours(hour) + seconds(600 * (6 - in_hour) + 300);
    EXPECT_NEAR(path.elevation_deg[0], full_algorithm(high, middle, 701.09, 40.0).elevation_deg,
                1e-4);
    EXPECT_GT(full_algorithm(high, middle, 1013.25, 15.0).elevation_deg,
              path.elevation_deg[0] + 0.01);
}

TEST(SunPath, MidnightSunAndPolarNight) {
    const Site north_cape = site_at(71.17, 25.78);
    const SunPath summer = sun_path(north_cape, hours_from(sys_days{2023y / 6 / 21}, 24), 600.0);
    EXPECT_EQ(summer.size(), 144u);
    // Lowest at 90 - latitude - declination under the pole, refraction adds up to 0.2 deg.
    const double lowest =
        *std::min_element(summer.elevation_deg.begin(), summer.elevation_deg.end());
    EXPECT_NEAR(lowest, 71.17 + 23.44 - 90.0, 0.25);
    const SunPath winter = sun_path(north_cape, hours_from(sys_days{2023y / 12 / 21}, 24), 600.0);
    EXPECT_EQ(winter.size(), 0u);
    EXPECT_EQ(winter.n_hours(), 24u);
    const Site pole = site_at(-90.0, 0.0);
    EXPECT_EQ(sun_path(pole, hours_from(sys_days{2023y / 12 / 21}, 24), 600.0).size(), 144u);
}

/// Refraction at an apparent elevation by another formula than ours: [meeus1998] eq. (16.3), 10
/// degC and 1010 hPa, good to 0.07 arcmin.
double bennett_refraction_deg(double apparent_deg) {
    return 1.0 / std::tan((apparent_deg + 7.31 / (apparent_deg + 4.4)) * deg) / 60.0;
}

// 90 - |latitude - declination| at transit, plus refraction. 60 s steps are within 0.13 deg of
// transit in hour angle, worth 0.002 deg for a sun 3 deg from the zenith; declination moves 0.005
// deg from 12 UT to transit.
TEST(SunPath, NoonElevation) {
    for (const double latitude : {-60.0, -33.9, 0.0, 20.0, 24.7, 51.5}) {
        for (const auto& date : {2023y / 3 / 20, 2023y / 6 / 21, 2023y / 9 / 23, 2023y / 12 / 21}) {
            const Site site = site_at(latitude, 0.0);
            const SunPath path = sun_path(site, hours_from(sys_days{date}, 24), 60.0);
            const double noon =
                *std::max_element(path.elevation_deg.begin(), path.elevation_deg.end());
            const double declination =
                full_algorithm(site, sys_days{date} + 12h, 1013.25, 15.0).declination_deg;
            EXPECT_NEAR(noon - bennett_refraction_deg(noon),
                        90.0 - std::abs(latitude - declination), 0.01)
                << latitude;
        }
    }
}

/// Length of the day [h] with the sun's centre, lifted by 34' of refraction, above the horizon, at
/// constant declination: closed form.
double day_length_h(double latitude_deg, double declination_deg) {
    const double cosine = (std::sin(-34.0 / 60.0 * deg) -
                           std::sin(latitude_deg * deg) * std::sin(declination_deg * deg)) /
                          (std::cos(latitude_deg * deg) * std::cos(declination_deg * deg));
    return 2.0 * std::acos(cosine) / deg / 15.0;
}

// To one step of a minute at either end of the day; on these days an equation of time that grows by
// 15 to 30 s/day lengthens the day by less than that.
TEST(SunPath, StepsOfADay) {
    for (const double latitude : {-35.0, 0.0, 24.7, 40.0, 55.0}) {
        const Site site = site_at(latitude, 0.0);
        const SunPath june = sun_path(site, hours_from(sys_days{2023y / 6 / 21}, 24), 60.0);
        const SunPath december = sun_path(site, hours_from(sys_days{2023y / 12 / 21}, 24), 60.0);
        EXPECT_NEAR(static_cast<double>(june.size()), 60.0 * day_length_h(latitude, 23.44), 1.5);
        EXPECT_NEAR(static_cast<double>(december.size()), 60.0 * day_length_h(latitude, -23.44),
                    1.5);
    }
    // At an equinox the equator has 12 h and 2 * 34' / (15 deg/h) more: 724.5 min.
    const SunPath march =
        sun_path(site_at(0.0, 0.0), hours_from(sys_days{2023y / 3 / 20}, 24), 60.0);
    EXPECT_NEAR(static_cast<double>(march.size()), 724.5, 1.5);
}

// At a solstice declination stands still, so the day mirrors itself at solar noon.
TEST(SunPath, SymmetricAboutSolarNoon) {
    const Site site = site_at(24.7, 0.0);
    const sys_seconds day = sys_days{2023y / 6 / 21};
    const SunPosition at_12 = full_algorithm(site, day + 12h, 1013.25, 15.0);
    // Shift the site so that the sun's transit falls on 12:00 UT, between two steps.
    const Site centred = site_at(24.7, -at_12.hour_angle_deg);
    const SunPath path = sun_path(centred, hours_from(day, 24), 600.0);
    ASSERT_EQ(path.size() % 2, 0u);
    const std::size_t n = path.size();
    for (std::size_t i = 0; i < n / 2; ++i) {
        EXPECT_NEAR(path.elevation_deg[i], path.elevation_deg[n - 1 - i], 0.02);
        // Azimuth runs fast near noon: compare directions mirrored at the meridian instead.
        const Vec3 mirrored = path.direction[n - 1 - i].cwiseProduct(Vec3(-1.0, 1.0, 1.0));
        EXPECT_LT(separation_deg(path.direction[i], mirrored), 0.02);
    }
}

TEST(SunPath, DirectionsAreUnitAndFollowTheModelsNorth) {
    const Weather weather = hours_from(sys_days{2023y / 6 / 21}, 24);
    for (const double north : {0.0, 90.0, 23.0}) {
        Site site = site_at(24.7, 46.7);
        site.north_deg = north;
        const SunPath path = sun_path(site, weather, 1200.0);
        ASSERT_GT(path.size(), 30u);
        for (std::size_t i = 0; i < path.size(); ++i) {
            EXPECT_NEAR(path.direction[i].norm(), 1.0, 1e-14);
            EXPECT_NEAR(path.direction[i].z(), std::sin(path.elevation_deg[i] * deg), 1e-14);
            const double azimuth = compass_azimuth_deg(path.direction[i], north);
            EXPECT_NEAR(std::remainder(azimuth - path.azimuth_deg[i], 360.0), 0.0, 1e-6);
        }
    }
}

// Hours from different years, as in a typical year, and hours that go backwards.
TEST(SunPath, HoursNeedNotFollowEachOther) {
    const Site site = site_at(24.7, 46.7);
    Weather mixed = hours_from(sys_days{1999y / 12 / 31} + 6h, 6);
    const Weather later = hours_from(sys_days{2004y / 1 / 1} + 6h, 6);
    mixed.hour_start_utc.insert(mixed.hour_start_utc.begin(), later.hour_start_utc.begin(),
                                later.hour_start_utc.end());
    mixed.dry_bulb_c.resize(12, 15.0);
    const SunPath both = sun_path(site, mixed, 600.0);
    const SunPath alone = sun_path(site, hours_from(sys_days{1999y / 12 / 31} + 6h, 6), 600.0);
    ASSERT_EQ(up_steps(both, 6, 6), alone.size());
    for (std::size_t i = 0; i < alone.size(); ++i) {
        EXPECT_EQ(both.direction[both.hour_begin[6] + i], alone.direction[i]);
    }
}

TEST(SunPath, NoHours) {
    const SunPath path = sun_path(site_at(0.0, 0.0), Weather{});
    EXPECT_EQ(path.n_hours(), 0u);
    EXPECT_EQ(path.size(), 0u);
}

TEST(SunPath, StepMustDivideTheHour) {
    const Weather weather = hours_from(sys_days{2023y / 6 / 21}, 1);
    const Site site = site_at(24.7, 46.7);
    for (const double step :
         {0.0, -600.0, 7.0, 700.0, 7200.0, 0.5, std::numeric_limits<double>::quiet_NaN(),
          std::numeric_limits<double>::infinity()}) {
        EXPECT_THROW(sun_path(site, weather, step), InputError) << step;
    }
    for (const double step : {1.0, 60.0, 900.0, 3600.0}) {
        EXPECT_NO_THROW(sun_path(site, weather, step)) << step;
    }
    EXPECT_THROW(sun_path(site_at(91.0, 0.0), weather), InputError);
    EXPECT_THROW(sun_path(site_at(0.0, 181.0), weather), InputError);
}

}  // namespace
}  // namespace noonshell
