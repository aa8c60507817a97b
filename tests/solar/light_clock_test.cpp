// Clocks found from the light alone. The years are made with a second sun: declination and equation
// of time of [duffie2013] eqs (1.6.1a) and (1.5.3), skies of [ashrae2021] ch. 14, summed every
// six minutes; the check itself has the sun of [reda2004] and the course of [haurwitz1945].
#include "solar/light_clock.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <string>

#include "solar/clear_sky.hpp"
#include "solar/light_completion.hpp"
#include "solar/weather_samples.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;

constexpr double rad = std::numbers::pi / 180;

Site place(double latitude_deg, double longitude_deg, double utc_offset_h) {
    Site site;
    site.latitude_deg = latitude_deg;
    site.longitude_deg = longitude_deg;
    site.utc_offset_h = utc_offset_h;
    site.elevation_m = 100;
    return site;
}

/// Sine of the sun's elevation; `day` of the year from 0 with its fraction, UTC.
double sine_of_sun(const Site& site, double day) {
    const double n = std::floor(day) + 1, b = 360 * (n - 1) / 365 * rad;
    const double declination = 23.45 * std::sin(360 * (284 + n) / 365 * rad) * rad;
    const double equation_min =
        229.2 * (0.000075 + 0.001868 * std::cos(b) - 0.032077 * std::sin(b) -
                 0.014615 * std::cos(2 * b) - 0.04089 * std::sin(2 * b));
    const double solar_h =
        24 * (day - std::floor(day)) + site.longitude_deg / 15 + equation_min / 60;
    const double phi = site.latitude_deg * rad;
    return std::sin(phi) * std::sin(declination) +
           std::cos(phi) * std::cos(declination) * std::cos(15 * (solar_h - 12) * rad);
}

/// What clouds let through of the light; day of the year and mean solar hour.
using Clouds = std::function<double(int, double)>;

double no_clouds(int, double) {
    return 1;
}

/// A number from 0 to 1 that looks drawn.
double drawn(int seed) {
    const double x = 43758.5453 * std::sin(12.9898 * seed + 78.233);
    return x - std::floor(x);
}

enum class Told { global, global_and_diffuse, direct_and_diffuse, all };

/// A year whose hours truly begin `later_min` after the beginnings that are written.
Weather year(const Site& site, double later_min, Told told = Told::global,
             const Clouds& clouds = no_clouds) {
    Weather weather;
    const auto offset = seconds(std::lround(3600 * site.utc_offset_h));
    for (int hour = 0; hour < 8760; ++hour) {
        weather.hour_start_utc.push_back(sys_days{2023y / January / 1} + hours(hour) - offset);
        double global = 0, direct = 0, diffuse = 0;
        for (int part = 0; part < 10; ++part) {
            const double day = (hour - site.utc_offset_h + (6 * part + 3 + later_min) / 60) / 24;
            const double sine = sine_of_sun(site, day + (day < 0 ? 365 : 0));
            if (sine <= 0) continue;
            const double solar_h = 24 * (day - std::floor(day)) + site.longitude_deg / 15;
            const double clear = clouds(hour / 24, solar_h - 24 * std::floor(solar_h / 24));
            const ClearSky sky = clear_sky(std::asin(sine) / rad, 1367, 0.4, 2.2);
            direct += clear * sky.direct_normal_w_m2 / 10;
            diffuse += (1 - 0.3 * (1 - clear)) * sky.diffuse_w_m2 / 10;
            global += (clear * sky.direct_normal_w_m2 * sine +
                       (1 - 0.3 * (1 - clear)) * sky.diffuse_w_m2) /
                      10;
        }
        if (told != Told::direct_and_diffuse) weather.global_w_m2.push_back(global);
        if (told == Told::direct_and_diffuse || told == Told::all)
            weather.direct_normal_w_m2.push_back(direct);
        if (told != Told::global) weather.diffuse_w_m2.push_back(diffuse);
    }
    weather.dry_bulb_c.assign(weather.size(), 20);
    complete_light(site, {}, weather);
    return weather;
}

const Site desert = place(30, 30, 2), india = place(28.6, 77.2, 5.5);

TEST(LightClock, FindsHowFarTheHoursAreOff) {
    for (const Site& site : {desert, place(-33.9, 18.4, 2), place(60, 25, 2), place(78.2, 15.6, 1),
                             place(2, 179, -12)}) {
        for (const double later_min : {30.0, -30.0, 60.0}) {
            const Weather weather = year(site, later_min);
            const auto fit = fit_light_clock(site, weather);
            ASSERT_TRUE(fit) << site.latitude_deg;
            EXPECT_NEAR(fit->shift_min, later_min, 3) << site.latitude_deg;
            const auto warnings = check_light_clock(site, weather);
            ASSERT_EQ(warnings.size(), 1u) << site.latitude_deg << ' ' << later_min;
            EXPECT_EQ(warnings[0].code, "weather-clock-shifted");
        }
        const Weather right = year(site, 0);
        EXPECT_NEAR(fit_light_clock(site, right)->shift_min, 0, 3) << site.latitude_deg;
        EXPECT_TRUE(check_light_clock(site, right).empty()) << site.latitude_deg;
    }
}

TEST(LightClock, WhateverPartsOfTheLightAreTold) {
    for (const Told told :
         {Told::global, Told::global_and_diffuse, Told::direct_and_diffuse, Told::all}) {
        const auto fit = fit_light_clock(desert, year(desert, 30, told));
        ASSERT_TRUE(fit);
        EXPECT_NEAR(fit->shift_min, 30, 4) << static_cast<int>(told);
        EXPECT_EQ(check_light_clock(desert, year(desert, 30, told)).size(), 1u)
            << static_cast<int>(told);
        EXPECT_TRUE(check_light_clock(desert, year(desert, 0, told)).empty())
            << static_cast<int>(told);
    }
}

/// Afternoons under clouds that come and go, from June to September or all year long.
Clouds cloudy_afternoons(bool all_year) {
    return [all_year](int day, double solar_h) {
        const bool rains = all_year || (day > 150 && day < 270);
        if (!rains || solar_h < 12 + 2 * drawn(day)) return 1.0;
        return 0.1 + 0.6 * drawn(50 * day + static_cast<int>(2 * solar_h));
    };
}

/// Thicker from hour to hour, every day of the year, without a step: the likest to a shifted clock.
double slowly_clouding(int, double solar_h) {
    return 1 - 0.05 * std::max(0.0, solar_h - 6);
}

double foggy_mornings(int day, double solar_h) {
    return solar_h < 9 + 2 * drawn(day) ? 0.15 : 1.0;
}

TEST(LightClock, CloudyAfternoonsAreNoShiftedClock) {
    for (const Site& site : {india, place(2, -77, -5)}) {
        for (const Clouds& clouds : {cloudy_afternoons(false), cloudy_afternoons(true),
                                     Clouds(slowly_clouding), Clouds(foggy_mornings)}) {
            for (const Told told : {Told::global, Told::global_and_diffuse}) {
                const auto warnings = check_light_clock(site, year(site, 0, told, clouds));
                EXPECT_TRUE(warnings.empty()) << site.latitude_deg << ": " << warnings[0].text;
            }
        }
        // Such a year's clock is found out all the same, by its clear months.
        const auto fit =
            fit_light_clock(site, year(site, 30, Told::global, cloudy_afternoons(false)));
        ASSERT_TRUE(fit);
        EXPECT_NEAR(fit->shift_min, 30, 3);
    }
}

// Such days can be taken for clear ones of another clock; the light of their mornings and evenings
// is not.
TEST(LightClock, HazeThatGrowsAllDayIsNoShiftedClock) {
    for (const double per_hour : {0.02, 0.03}) {
        const auto haze = [per_hour](int, double solar_h) { return 1 - per_hour * solar_h; };
        const Weather weather = year(desert, 0, Told::global, haze);
        const auto fit = fit_light_clock(desert, weather);
        ASSERT_TRUE(fit);
        EXPECT_GT(fit->shift_min, per_hour > 0.025 ? 12 : 6);
        EXPECT_TRUE(check_light_clock(desert, weather).empty());
    }
}

TEST(LightClock, SaysWhatToSet) {
    Weather weather = year(desert, 30);
    weather.stamps = StampReading{"weather.time.stamp", StampAt::end, 3600};
    const auto text = [&] { return check_light_clock(desert, weather).at(0).text; };
    EXPECT_NE(text().find("minutes later than its hours are read"), std::string::npos) << text();
    EXPECT_NE(text().find("set weather.time.stamp = \"middle\" where"), std::string::npos)
        << text();
    weather.stamps->at = StampAt::middle;
    EXPECT_NE(text().find("= \"start\""), std::string::npos) << text();
    weather.stamps->at = StampAt::start;  // nothing lies before the start
    EXPECT_NE(text().find("time zone, weather.time.stamp or the longitude"), std::string::npos);
    weather.stamps.reset();
    EXPECT_NE(text().find("the time zone, the longitude or"), std::string::npos) << text();
}

// Thirty minutes of a longitude are 7.5 degrees.
TEST(LightClock, ALongitudeIsFoundLikewise) {
    Site elsewhere = desert;
    elsewhere.longitude_deg += 7.5;
    const auto fit = fit_light_clock(elsewhere, year(desert, 0));
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->shift_min, -30, 3);
}

// Means of 3 h, whose hours were made with the sun of the stated clock: only the means speak.
TEST(LightClock, MeansOfSeveralHoursSpeakAsSuch) {
    const Weather hourly = year(desert, 0);
    WeatherSamples samples;
    samples.interval_s = 3 * 3600;
    samples.clock_offset = hours(2);
    for (std::size_t h = 0; h + 3 <= hourly.size(); h += 3) {
        samples.begin_utc.push_back(hourly.hour_start_utc[h]);
        const auto& global = hourly.global_w_m2;
        samples[WeatherQuantity::global].values.push_back(
            (global[h] + global[h + 1] + global[h + 2]) / 3);
        for (const auto quantity :
             {WeatherQuantity::dry_bulb, WeatherQuantity::dew_point, WeatherQuantity::wind_speed})
            samples[quantity].values.push_back(10);
    }
    EXPECT_TRUE(check_light_clock(desert, hourly_weather(desert, samples)).empty());
    for (sys_seconds& begin : samples.begin_utc) begin += minutes(90);
    const auto fit = fit_light_clock(desert, hourly_weather(desert, samples));
    ASSERT_TRUE(fit);
    EXPECT_NEAR(fit->shift_min, -90, 10);
    EXPECT_EQ(check_light_clock(desert, hourly_weather(desert, samples)).size(), 1u);
}

TEST(LightClock, NothingIsSaidOfDarkOrFewHours) {
    Weather weather = year(desert, 30);
    for (double& value : weather.global_w_m2) value = 0;
    EXPECT_FALSE(fit_light_clock(desert, weather));
    EXPECT_TRUE(check_light_clock(desert, weather).empty());
    // Gray days without any course.
    for (std::size_t h = 0; h < weather.size(); ++h)
        weather.global_w_m2[h] = h % 24 > 7 && h % 24 < 17 ? 200 * drawn(static_cast<int>(h)) : 0;
    EXPECT_TRUE(check_light_clock(desert, weather).empty());
}

}  // namespace
}  // namespace noonshell
