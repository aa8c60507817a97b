// Intervals of several hours taken apart: means are conserved, sunlight follows the sun as minute
// by minute positions have it, straight lines stay straight.
#include "solar/hour_split.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "solar/hour_sine.hpp"
#include "solar/sun_position.hpp"
#include "tests/solar/desert_site.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;
using test::desert;
using Quantity = WeatherQuantity;

constexpr double degree = std::numbers::pi / 180;

/// `n` intervals of `interval_h` from 20 March 2023 on.
WeatherSamples samples(std::size_t n, int interval_h) {
    WeatherSamples result;
    result.file = "met.nc";
    result.interval_s = 3600 * interval_h;
    for (std::size_t i = 0; i < n; ++i)
        result.begin_utc.push_back(sys_days{2023y / March / 20} +
                                   hours(interval_h * static_cast<int>(i)));
    return result;
}

/// Mean sine of the sun's elevation in the hour, the sun below the horizon as 0: minute by minute
/// by the full position algorithm, which hour_sines() does not call.
double mean_sine(const Site& site, sys_seconds hour_begin) {
    SunPositionInput input;
    input.latitude_deg = site.latitude_deg;
    input.longitude_deg = site.longitude_deg;
    input.elevation_m = site.elevation_m;
    input.delta_t_s = estimated_delta_t_s(2023.2);
    double sum = 0;
    for (int minute = 0; minute < 60; ++minute) {
        input.instant_utc = hour_begin + minutes(minute) + seconds(30);
        sum += std::max(0.0, std::sin(sun_position(input).elevation_deg * degree));
    }
    return sum / 60;
}

// A sky of one clearness all day: hours averaged to 3 h come back as they were.
TEST(HourSplit, LightOfOneClearnessComesBackHourByHour) {
    WeatherSamples three = samples(16, 3);
    std::vector<double> truth;
    for (const sys_seconds begin : three.begin_utc)
        for (int k = 0; k < 3; ++k)
            truth.push_back(0.7 * 1370 * mean_sine(desert(), begin + hours(k)));
    for (const Quantity quantity : {Quantity::global, Quantity::diffuse})
        for (std::size_t i = 0; i < truth.size(); i += 3)
            three[quantity].values.push_back((truth[i] + truth[i + 1] + truth[i + 2]) / 3);
    const WeatherSamples hourly = split_to_hours(desert(), three, false);
    ASSERT_EQ(hourly.interval_s, 3600);
    ASSERT_EQ(hourly.begin_utc.size(), truth.size());
    double brightest = 0;
    for (std::size_t h = 0; h < truth.size(); ++h) {
        EXPECT_EQ(hourly.begin_utc[h], three.begin_utc[0] + hours(static_cast<int>(h)));
        EXPECT_NEAR(hourly[Quantity::global].values[h], truth[h], 1.5) << h;  // 5 min sunrise steps
        EXPECT_NEAR(hourly[Quantity::diffuse].values[h], truth[h], 1.5) << h;
        brightest = std::max(brightest, truth[h]);
    }
    EXPECT_GT(brightest, 700);
}

TEST(HourSplit, KeepsTheMeanOfEveryFlux) {
    for (const int interval_h : {2, 3}) {
        WeatherSamples long_ones = samples(24, interval_h);
        const std::vector<Quantity> fluxes{Quantity::global, Quantity::direct_normal,
                                           Quantity::direct_horizontal, Quantity::diffuse,
                                           Quantity::longwave_down};
        for (std::size_t q = 0; q < fluxes.size(); ++q)
            for (std::size_t i = 0; i < 24; ++i)
                long_ones[fluxes[q]].values.push_back(
                    static_cast<double>((37 * (i + 5 * q) * (i + 11)) % 401));
        for (const bool periodic : {false, true}) {
            const WeatherSamples hourly = split_to_hours(desert(), long_ones, periodic);
            for (const Quantity quantity : fluxes) {
                for (std::size_t i = 0; i < 24; ++i) {
                    double sum = 0;
                    for (int k = 0; k < interval_h; ++k)
                        sum += hourly[quantity].values[i * static_cast<std::size_t>(interval_h) +
                                                       static_cast<std::size_t>(k)];
                    EXPECT_NEAR(sum / interval_h, long_ones[quantity].values[i], 1e-9)
                        << info(quantity).key << " " << i;
                }
            }
        }
    }
}

// A clear day of another sky ([ashrae2021] ch. 14): hours averaged to 3 h come back, and what falls
// on level ground with them; an even beam would miss that by more than 2 %.
TEST(HourSplit, TheBeamRunsAsThatOfAClearSky) {
    const DesignDay day{.month = 3, .day = 20, .tau_b = 0.45, .tau_d = 2.2};
    const Weather clear = design_day_weather(desert(), day, 2023);
    const HourSines sines = hour_sines(desert(), clear);
    WeatherSamples three = samples(8, 3);
    ASSERT_EQ(clear.hour_start_utc[2], three.begin_utc[0]);
    for (std::size_t i = 0; i < 8; ++i) {
        double sum = 0;
        for (std::size_t k = 0; k < 3; ++k) sum += clear.direct_normal_w_m2[(3 * i + k + 2) % 24];
        three[Quantity::direct_normal].values.push_back(sum / 3);
    }
    const std::vector<double> hourly =
        split_to_hours(desert(), three, true)[Quantity::direct_normal].values;
    double level = 0, true_level = 0, even_level = 0;
    for (std::size_t h = 0; h < 24; ++h) {
        const std::size_t of_day = (h + 2) % 24;
        EXPECT_NEAR(hourly[h], clear.direct_normal_w_m2[of_day], 60) << h;
        level += hourly[h] * sines.while_up[of_day];
        true_level += clear.direct_normal_w_m2[of_day] * sines.while_up[of_day];
        const double mean = three[Quantity::direct_normal].values[h / 3];
        even_level += mean * sines.while_up[of_day];
    }
    EXPECT_NEAR(level / true_level, 1, 0.01);
    EXPECT_LT(even_level / true_level, 0.98);
}

TEST(HourSplit, LightWithoutASunIsSpreadEvenly) {
    WeatherSamples three = samples(8, 3);
    three[Quantity::global].values = {3, 0, 0, 0, 0, 0, 0, 0};
    const WeatherSamples hourly = split_to_hours(desert(), three, true);
    for (std::size_t h = 0; h < 3; ++h) EXPECT_NEAR(hourly[Quantity::global].values[h], 3, 1e-12);
}

// The means of a straight line are those of its hours; a parabola has them exactly too.
TEST(HourSplit, LongwaveOfAStraightLineComesBack) {
    WeatherSamples three = samples(8, 3);
    for (int i = 0; i < 8; ++i)
        three[Quantity::longwave_down].values.push_back(300 + 3 * (3 * i + 1.5));
    const std::vector<double> hourly =
        split_to_hours(desert(), three, false)[Quantity::longwave_down].values;
    for (std::size_t h = 3; h + 3 < hourly.size(); ++h)
        EXPECT_NEAR(hourly[h], 300 + 3 * (static_cast<double>(h) + 0.5), 1e-9) << h;
}

TEST(HourSplit, StatesRunOnStraightLines) {
    for (const double instant_s : {0.0, 5400.0, 10800.0}) {
        WeatherSamples three = samples(8, 3);
        WeatherSeries& air = three[Quantity::dry_bulb];
        air.is_mean = false;
        air.instant_s = instant_s;
        for (int i = 0; i < 8; ++i) air.values.push_back(10 + 2 * (3 * i + instant_s / 3600));
        WeatherSamples hourly = split_to_hours(desert(), three, false);
        EXPECT_FALSE(hourly[Quantity::dry_bulb].is_mean);
        EXPECT_EQ(hourly[Quantity::dry_bulb].instant_s, 3600);
        for (std::size_t h = 3; h + 4 < 24; ++h)
            EXPECT_NEAR(hourly[Quantity::dry_bulb].values[h], 10 + 2 * (static_cast<double>(h) + 1),
                        1e-9);
        // Held at an open end, else on the way to the beginning.
        const double held = hourly[Quantity::dry_bulb].values.back();
        EXPECT_NEAR(held, air.values.back(), 1e-9);
        const double wrapped =
            split_to_hours(desert(), three, true)[Quantity::dry_bulb].values.back();
        if (instant_s == 0)
            EXPECT_NEAR(wrapped, air.values.front(), 1e-9);
        else if (instant_s == 10800)
            EXPECT_NEAR(wrapped, air.values.back(), 1e-9);
        else
            EXPECT_NEAR(wrapped, (air.values.front() + air.values.back()) / 2, 1e-9);
    }
}

TEST(HourSplit, DirectionsTakeTheShorterWay) {
    WeatherSamples three = samples(8, 3);
    three[Quantity::wind_direction].is_mean = false;
    three[Quantity::wind_direction].values = {350, 20, 20, 20, 20, 20, 20, 20};
    const std::vector<double> hourly =
        split_to_hours(desert(), three, false)[Quantity::wind_direction].values;
    EXPECT_NEAR(hourly[0], 0, 1e-9);
    EXPECT_NEAR(hourly[1], 10, 1e-9);
    EXPECT_NEAR(hourly[2], 20, 1e-9);
}

// Three-hourly weather goes all the way to hours, global light split into beam and sky.
TEST(HourSplit, LeadsToWholeWeather) {
    WeatherSamples three = samples(16, 3);
    for (std::size_t i = 0; i < 16; ++i) {
        double light = 0;
        for (int k = 0; k < 3; ++k)
            light += 0.7 * 1370 * mean_sine(desert(), three.begin_utc[i] + hours(k)) / 3;
        three[Quantity::global].values.push_back(light);
        three[Quantity::dry_bulb].values.push_back(30);
        three[Quantity::dew_point].values.push_back(8);
        three[Quantity::wind_speed].values.push_back(3);
    }
    const Weather weather = hourly_weather(desert(), three);
    ASSERT_EQ(weather.size(), 48u);
    EXPECT_TRUE(weather.warnings.empty());
    EXPECT_EQ(weather.dry_bulb_c[30], 30);
    EXPECT_EQ(weather.wind_speed_m_s[30], 3);
    EXPECT_GT(weather.direct_normal_w_m2[10], 500);
    three[Quantity::global].values[3] = std::numeric_limits<double>::quiet_NaN();
    const Weather filled = hourly_weather(desert(), three);
    ASSERT_EQ(filled.warnings.size(), 1u);
    EXPECT_EQ(filled.warnings[0].code, "weather-filled");
    EXPECT_EQ(filled.warnings[0].text.substr(0, 26), "3 missing hours of global:");
}

}  // namespace
}  // namespace noonshell
