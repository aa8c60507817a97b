// Weather without a file. [ashrae2021] stands for the handbook's SI edition; where the handbook
// rounds a printed value, half of its last digit is the tolerance.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/clear_sky.hpp"
#include "solar/daily_profile.hpp"
#include "solar/sun_position.hpp"
#include "solar/weather.hpp"

namespace noonshell {
namespace {

using namespace std::chrono_literals;
using std::chrono::sys_days;

constexpr double degree = std::numbers::pi / 180;

Site atlanta() {
    Site site;
    site.latitude_deg = 33.64;
    site.longitude_deg = -84.43;
    site.elevation_m = 313;
    site.utc_offset_h = -5;
    return site;
}

/// July of Atlanta, 5 %: highest 33.1 C, range 11.2 K; optical depths of the clear-sky examples.
DesignDay atlanta_july() {
    DesignDay day;
    day.month = 7;
    day.day = 21;
    day.peak_dry_bulb_c = 33.1;
    day.daily_range_k = 11.2;
    day.dew_point_c = 20;
    day.wind_m_s = 3;
    day.tau_b = 0.515;
    day.tau_d = 2.066;
    return day;
}

/// [ashrae2021] ch. 18 table 29B, column "to" (also table 27, July, 5 %); hour 1 to 24.
constexpr std::array<double, 24> printed_to_c{23.2, 22.8, 22.4, 22.1, 21.9, 22.1, 22.9, 24.8,
                                              26.9, 28.8, 30.6, 31.7, 32.6, 33.1, 33.1, 32.4,
                                              31.6, 30.4, 28.7, 27.5, 26.5, 25.5, 24.7, 23.9};

std::array<MonthNormals, 12> equal_months(const DesignDay& day) {
    std::array<MonthNormals, 12> months;
    months.fill({.mean_high_c = day.peak_dry_bulb_c,
                 .mean_low_c = day.peak_dry_bulb_c - day.daily_range_k,
                 .dew_point_c = day.dew_point_c,
                 .wind_m_s = day.wind_m_s,
                 .tau_b = day.tau_b,
                 .tau_d = day.tau_d});
    return months;
}

/// Normals of an invented hot and dry place.
std::array<MonthNormals, 12> invented_months() {
    constexpr std::array<double, 12> high{19, 22, 27, 32, 38, 42, 43, 43, 40, 34, 26, 20};
    std::array<MonthNormals, 12> months;
    for (std::size_t i = 0; i < 12; ++i) {
        const double wave = std::cos(2 * std::numbers::pi * (static_cast<double>(i) - 6) / 12);
        months[i] = {.mean_high_c = high[i],
                     .mean_low_c = high[i] - 14 - wave,
                     .dew_point_c = high[i] - 20,
                     .wind_m_s = 3 + wave,
                     .tau_b = 0.45 + 0.1 * wave,
                     .tau_d = 2.1 - 0.1 * wave};
    }
    return months;
}

// ---- Design day

// The table's clock counts solar hours. On the meridian where the sun keeps the zone's time on that
// day, the column must come out to its rounding: 0.05 in print, 0.05 in the highest.
TEST(DesignDayWeather, GivesThePrintedTemperaturesOnTheSolarMeridian) {
    Site site = atlanta();
    site.longitude_deg = -75 - equation_of_time_min(202) / 4;
    const Weather weather = design_day_weather(site, atlanta_july(), 2021);
    ASSERT_EQ(weather.size(), 24u);
    for (std::size_t i = 0; i < 24; ++i)
        EXPECT_NEAR(weather.dry_bulb_c[i], printed_to_c[i], 0.1) << "hour " << i + 1;
}

// In Atlanta itself the sun is 0.7353 h behind the clock: each hour lies between two of the
// printed.
TEST(DesignDayWeather, FollowsTheSunAwayFromTheMeridian) {
    const Weather weather = design_day_weather(atlanta(), atlanta_july(), 2021);
    for (std::size_t i = 0; i < 24; ++i) {
        const double expected = 0.2647 * printed_to_c[i] + 0.7353 * printed_to_c[(i + 23) % 24];
        EXPECT_NEAR(weather.dry_bulb_c[i], expected, 0.1) << "hour " << i + 1;
    }
}

// [ashrae2021] ch. 18 table 29A: direct normal at every full hour of the day, LST 6 to 19. A mean
// over the hour of a curve that is bent downward lies above its chord and below its highest.
TEST(DesignDayWeather, HasThePrintedBeamBetweenItsHours) {
    constexpr std::array<double, 14> printed{27.5,  333.0, 531.9, 647.4, 717.2, 758.5, 779.3,
                                             783.1, 770.5, 739.6, 684.6, 593.7, 440.8, 173.7};
    constexpr std::array<double, 14> printed_diffuse{21.2,  73.0,  107.2, 131.0, 147.7,
                                                     158.5, 164.3, 165.4, 161.8, 153.4,
                                                     139.6, 119.4, 90.7,  48.3};
    const Weather weather = design_day_weather(atlanta(), atlanta_july(), 2021);
    // The hour from LST 6 + k to 7 + k; the first and the last bend both ways and are left out.
    for (std::size_t k = 1; k + 2 < printed.size(); ++k) {
        const std::size_t hour = 6 + k;
        const auto check = [&](double mean, double a, double b, double highest) {
            EXPECT_GT(mean, (a + b) / 2 - 0.5) << hour;
            EXPECT_LT(mean, highest) << hour;
        };
        const bool noon = k == 6;  // 784 and 166 at solar noon: ch. 14 examples 3 and 4
        check(weather.direct_normal_w_m2[hour], printed[k], printed[k + 1],
              noon ? 784.5 : std::max(printed[k], printed[k + 1]));
        check(weather.diffuse_w_m2[hour], printed_diffuse[k], printed_diffuse[k + 1],
              noon ? 166.5 : std::max(printed_diffuse[k], printed_diffuse[k + 1]));
    }
}

// The same day by hand: sun every 10 s from the full algorithm, no sun path, no sharing of steps.
TEST(DesignDayWeather, ConservesTheEnergyOfAFineIntegration) {
    const Site site = atlanta();
    const DesignDay design = atlanta_july();
    const Weather weather = design_day_weather(site, design, 2021);
    SunPositionInput input;
    input.latitude_deg = site.latitude_deg;
    input.longitude_deg = site.longitude_deg;
    input.elevation_m = site.elevation_m;
    input.pressure_hpa = weather.pressure_pa[0] / 100;
    input.temperature_c = 27;
    const double beyond = extraterrestrial_normal_w_m2(202);
    double fine_day = 0, our_day = 0;
    for (std::size_t hour = 0; hour < 24; ++hour) {
        double direct = 0, diffuse = 0, global = 0;
        for (int i = 0; i < 360; ++i) {
            input.instant_utc = sys_days{std::chrono::year{2021} / 7 / 21} + 5h +
                                std::chrono::hours(hour) + std::chrono::seconds(10 * i + 5);
            const double elevation = sun_position(input).elevation_deg;
            const ClearSky sky = clear_sky(elevation, beyond, design.tau_b, design.tau_d);
            direct += sky.direct_normal_w_m2 / 360;
            diffuse += sky.diffuse_w_m2 / 360;
            global +=
                (sky.direct_normal_w_m2 * std::sin(elevation * degree) + sky.diffuse_w_m2) / 360;
        }
        fine_day += direct;
        our_day += weather.direct_normal_w_m2[hour];
        const bool edge = direct < 300;  // sunrise and sunset fall inside a step
        EXPECT_NEAR(weather.direct_normal_w_m2[hour], direct, edge ? 2 : 1) << hour;
        EXPECT_NEAR(weather.diffuse_w_m2[hour], diffuse, edge ? 2 : 0.2) << hour;
        EXPECT_NEAR(weather.global_w_m2[hour], global, edge ? 2 : 0.5) << hour;
    }
    EXPECT_NEAR(our_day / fine_day, 1, 0.0005);
}

// On the equator at an equinox, where the sun stands in the meridian at the clock's noon, the day
// is its own mirror image but for the drift of solar time: 0.3 min a day at this time of the year.
TEST(DesignDayWeather, IsSymmetricAboutNoon) {
    DesignDay design = atlanta_july();
    design.month = 3;
    design.day = 20;
    SunPositionInput noon;
    noon.instant_utc = sys_days{std::chrono::year{2022} / 3 / 20} + 12h;
    Site site;
    site.longitude_deg = -std::remainder(sun_position(noon).hour_angle_deg, 360);
    const Weather weather = design_day_weather(site, design, 2022);
    for (std::size_t i = 0; i < 12; ++i) {
        // An hour changes either by up to 350 W/m2: 0.15 min of that.
        EXPECT_NEAR(weather.global_w_m2[i], weather.global_w_m2[23 - i], 1) << i;
        EXPECT_NEAR(weather.direct_normal_w_m2[i], weather.direct_normal_w_m2[23 - i], 1) << i;
    }
    EXPECT_GT(weather.global_w_m2[11], 700);
}

TEST(DesignDayWeather, IsOnePeriodicDayInLocalTime) {
    const Weather weather = design_day_weather(atlanta(), atlanta_july(), 2021);
    EXPECT_TRUE(weather.periodic);
    EXPECT_EQ(weather.hour_start_utc[0], sys_days{std::chrono::year{2021} / 7 / 21} + 5h);
    for (std::size_t i = 1; i < 24; ++i)
        EXPECT_EQ(weather.hour_start_utc[i] - weather.hour_start_utc[i - 1], 1h);
    EXPECT_TRUE(weather.wind_direction_deg.empty());
    for (const double wind : weather.wind_speed_m_s) EXPECT_EQ(wind, 3);
    EXPECT_EQ(weather.source, "clear design day, 2021-07-21");
}

TEST(DesignDayWeather, KnowsThePolarNight) {
    Site site;
    site.latitude_deg = 80;
    DesignDay design = atlanta_july();
    design.month = 12;
    const Weather weather = design_day_weather(site, design, 2021);
    for (const double light : weather.global_w_m2) EXPECT_EQ(light, 0);
}

TEST(DesignDayWeather, CapsTheDewPointAtTheDryBulb) {
    DesignDay design = atlanta_july();
    design.dew_point_c = 24;  // above the night's lowest 21.9
    const Weather weather = design_day_weather(atlanta(), design, 2021);
    for (std::size_t i = 0; i < 24; ++i)
        EXPECT_EQ(weather.dew_point_c[i], std::min(24.0, weather.dry_bulb_c[i]));
    EXPECT_LT(weather.dew_point_c[5], 24);
}

// [ashrae2021] ch. 1 table 1, standard atmosphere (values from memory), printed to 1 Pa.
TEST(DesignDayWeather, HasThePressureOfTheStandardAtmosphere) {
    const std::array<std::array<double, 2>, 5> printed{
        {{0, 101325}, {500, 95461}, {1000, 89875}, {1500, 84556}, {2000, 79495}}};
    for (const auto& [elevation_m, pressure_pa] : printed) {
        Site site = atlanta();
        site.elevation_m = elevation_m;
        EXPECT_NEAR(design_day_weather(site, atlanta_july(), 2021).pressure_pa[7], pressure_pa, 5);
    }
}

// ---- Typical year

TEST(TypicalClearYear, LeavesOutTheLeapDay) {
    const Weather weather = typical_clear_year(atlanta(), invented_months(), 2024);
    ASSERT_EQ(weather.size(), 8760u);
    EXPECT_TRUE(weather.periodic);
    const sys_days first{std::chrono::year{2024} / 1 / 1};
    EXPECT_EQ(weather.hour_start_utc[0], first + 5h);
    EXPECT_EQ(weather.hour_start_utc[59 * 24 - 1] + 25h, weather.hour_start_utc[59 * 24]);
    EXPECT_EQ(weather.hour_start_utc[8759], sys_days{std::chrono::year{2025} / 1 / 1} + 4h);
}

// Twelve equal months make a year of design days. The sun's refraction takes the period's mean
// temperature, which differs a little; hence a tolerance in the light.
TEST(TypicalClearYear, IsADesignDayWhereMonthsAreEqual) {
    const Site site = atlanta();
    const Weather year = typical_clear_year(site, equal_months(atlanta_july()), 2021);
    const Weather day = design_day_weather(site, atlanta_july(), 2021);
    const std::size_t begin = 201 * 24;
    for (std::size_t i = 0; i < 24; ++i) {
        ASSERT_EQ(year.hour_start_utc[begin + i], day.hour_start_utc[i]);
        EXPECT_NEAR(year.dry_bulb_c[begin + i], day.dry_bulb_c[i], 1e-9);
        EXPECT_NEAR(year.dew_point_c[begin + i], day.dew_point_c[i], 1e-9);
        EXPECT_NEAR(year.direct_normal_w_m2[begin + i], day.direct_normal_w_m2[i], 0.01);
        EXPECT_NEAR(year.global_w_m2[begin + i], day.global_w_m2[i], 0.01);
    }
}

constexpr std::array<double, 12> middle_d{15.5,  45.0,  74.5,  105.0, 135.5, 166.0,
                                          196.5, 227.5, 258.0, 288.5, 319.0, 349.5};

// The wind has no daily course: what is at the middle of a month is that month's normal, and
// between two middles it is a straight line.
TEST(TypicalClearYear, JoinsMonthsByStraightLines) {
    const auto months = invented_months();
    const Weather weather = typical_clear_year(atlanta(), months, 2023);
    for (std::size_t m = 0; m < 12; ++m) {
        const auto middle = static_cast<std::size_t>(middle_d[m] * 24) - 1;  // hour that ends there
        EXPECT_NEAR(weather.wind_speed_m_s[middle], months[m].wind_m_s, 1e-12);
        for (std::size_t i = 1; i < 27 * 24; ++i) {
            const double before = weather.wind_speed_m_s[(middle + i - 1) % 8760];
            const double now = weather.wind_speed_m_s[(middle + i) % 8760];
            const double after = weather.wind_speed_m_s[(middle + i + 1) % 8760];
            ASSERT_NEAR(after - now, now - before, 1e-12) << m << " " << i;
        }
    }
}

// At mid-month the day's highest and lowest are the normals, but for what the month's line does
// within half a day to either side and for 1 % of the range at the lowest, which falls between two
// hours.
TEST(TypicalClearYear, MeetsTheNormalsAtMidMonth) {
    const auto months = invented_months();
    const Weather weather = typical_clear_year(atlanta(), months, 2023);
    for (std::size_t m = 0; m < 12; ++m) {
        const auto first = static_cast<std::ptrdiff_t>(middle_d[m] * 24) - 12;
        const auto begin = weather.dry_bulb_c.begin() + first;
        const auto [lowest, highest] = std::minmax_element(begin, begin + 24);
        double drift_k = 0;  // steepest change in half a day of the lines that meet here
        for (const std::size_t n : {(m + 1) % 12, (m + 11) % 12})
            drift_k =
                std::max({drift_k, std::abs(months[n].mean_high_c - months[m].mean_high_c) / 59,
                          std::abs(months[n].mean_low_c - months[m].mean_low_c) / 59});
        const double range_k = months[m].mean_high_c - months[m].mean_low_c;
        EXPECT_NEAR(*highest, months[m].mean_high_c, drift_k + 1e-9) << m + 1;
        EXPECT_NEAR(*lowest, months[m].mean_low_c, drift_k + 0.01 * range_k + 1e-9) << m + 1;
    }
}

// Where seasons do not drift and the sun keeps the zone's time to a quarter of an hour, within 0.1
// K.
TEST(TypicalClearYear, MeetsTheNormalsWithinATenthOfAKelvin) {
    Site site = atlanta();
    site.longitude_deg = -75;
    const Weather weather = typical_clear_year(site, equal_months(atlanta_july()), 2023);
    for (std::size_t day = 0; day < 365; ++day) {
        const auto begin = weather.dry_bulb_c.begin() + static_cast<std::ptrdiff_t>(day * 24);
        const auto [lowest, highest] = std::minmax_element(begin, begin + 24);
        ASSERT_NEAR(*highest, 33.1, 1e-9) << day;
        ASSERT_NEAR(*lowest, 21.9, 0.1) << day;
    }
}

// Noon of the 16th is the middle of a month of 31 days: there the optical depths are the month's
// own.
TEST(TypicalClearYear, HasTheMonthsSkyAtMidMonth) {
    const auto months = invented_months();
    const Weather year = typical_clear_year(atlanta(), months, 2023);
    for (const std::size_t m : {0u, 2u, 4u, 6u, 7u, 9u, 11u}) {
        DesignDay design = atlanta_july();
        design.month = static_cast<int>(m) + 1;
        design.day = 16;
        design.tau_b = months[m].tau_b;
        design.tau_d = months[m].tau_d;
        const Weather day = design_day_weather(atlanta(), design, 2023);
        const auto noon = static_cast<std::size_t>(middle_d[m] * 24);
        for (const std::size_t i : {11u, 12u}) {  // the hours before and after
            EXPECT_NEAR(year.direct_normal_w_m2[noon + i - 12], day.direct_normal_w_m2[i], 0.05)
                << m;
            EXPECT_NEAR(year.diffuse_w_m2[noon + i - 12], day.diffuse_w_m2[i], 0.05) << m;
        }
    }
}

// South of the equator the sun's summer is at the turn of the year. The sun is nearer then, too:
// the printed extraterrestrial beam of the 21st is 1410 in January and 1324 in July, [ashrae2021]
// ch. 14.
TEST(TypicalClearYear, TurnsWithTheHemisphere) {
    Site north = atlanta(), south = atlanta();
    south.latitude_deg = -north.latitude_deg;
    const auto months = equal_months(atlanta_july());
    const auto noon_of = [&](const Site& site, std::size_t day) {
        const Weather weather = typical_clear_year(site, months, 2023);
        const auto begin = weather.global_w_m2.begin() + static_cast<std::ptrdiff_t>(day * 24);
        return *std::max_element(begin, begin + 24);
    };
    EXPECT_GT(noon_of(north, 201), 1.4 * noon_of(north, 20));
    EXPECT_GT(noon_of(south, 20), 1.4 * noon_of(south, 201));
    EXPECT_NEAR(noon_of(south, 20) / noon_of(north, 201), 1410.0 / 1324.0, 0.01);
}

}  // namespace
}  // namespace noonshell
