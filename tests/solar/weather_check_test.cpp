// Slips that weather checks must find. The weather is made for one place and checked against
// another.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "solar/sun_position.hpp"
#include "solar/weather.hpp"

namespace noonshell {
namespace {

using namespace std::chrono_literals;

Site desert() {
    Site site;
    site.latitude_deg = 25;
    site.longitude_deg = 45;
    site.elevation_m = 600;
    site.utc_offset_h = 3;
    return site;
}

/// Invented normals: hottest in July by 20 K, dry.
std::array<MonthNormals, 12> northern_months() {
    std::array<MonthNormals, 12> months;
    for (std::size_t i = 0; i < 12; ++i) {
        const double high_c = 43 - 20 * std::abs(static_cast<double>(i) - 6) / 6;
        months[i] = {.mean_high_c = high_c,
                     .mean_low_c = high_c - 14,
                     .dew_point_c = 0,
                     .wind_m_s = 3,
                     .tau_b = 0.45,
                     .tau_d = 2.1};
    }
    return months;
}

std::vector<std::string> codes(const std::vector<Warning>& warnings) {
    std::vector<std::string> result;
    for (const Warning& warning : warnings) result.push_back(warning.code);
    return result;
}

using Codes = std::vector<std::string>;

std::vector<Warning> check(const Site& site, const Weather& weather) {
    return check_weather(site, weather, std::nullopt);
}

TEST(WeatherCheck, IsSilentWhereWeatherAndSiteFit) {
    EXPECT_TRUE(check(desert(), typical_clear_year(desert(), northern_months(), 2023)).empty());
    EXPECT_TRUE(check(desert(), design_day_weather(desert(), {}, 2023)).empty());
}

// ---- Hemisphere

TEST(WeatherCheckHemisphere, FindsNorthernAirOnASouthernSite) {
    Site south = desert();
    south.latitude_deg = -25;
    // The year has the southern sun: only the air gives the slip away.
    const auto warnings = check(south, typical_clear_year(south, northern_months(), 2023));
    ASSERT_EQ(codes(warnings), Codes{"weather-wrong-hemisphere"});
    EXPECT_NE(warnings[0].text.find("not a southern year"), std::string::npos);
}

TEST(WeatherCheckHemisphere, FindsNorthernLightOnASouthernSite) {
    Site south = desert();
    south.latitude_deg = -35;
    Site north = desert();
    north.latitude_deg = 35;
    Weather weather = typical_clear_year(north, northern_months(), 2023);
    for (double& value : weather.dry_bulb_c) value = 20;  // the air says nothing
    const auto found = codes(check(south, weather));
    EXPECT_NE(std::find(found.begin(), found.end(), "weather-wrong-hemisphere"), found.end());
}

TEST(WeatherCheckHemisphere, SaysBothMeans) {
    Site south = desert();
    south.latitude_deg = -25;
    Weather weather = typical_clear_year(south, northern_months(), 2023);
    for (std::size_t h = 0; h < weather.size(); ++h) {
        const bool middle = h >= 90 * 24 && h < 273 * 24;  // April to September
        weather.dry_bulb_c[h] = middle ? 31.5 : 12;
        weather.global_w_m2[h] = middle ? 300 : 200;
    }
    weather.direct_normal_w_m2.assign(weather.size(), 0);
    const auto warnings = check(south, weather);
    ASSERT_FALSE(warnings.empty());
    EXPECT_EQ(
        warnings[0].text,
        "April to September averages 31.5 C and 300 W/m2, October to March 12.0 C and 200 W/m2: "
        "not a southern year, but the site's latitude is -25.00");
}

TEST(WeatherCheckHemisphere, LeavesTheTropicsAndSingleDaysAlone) {
    Site tropics = desert();
    tropics.latitude_deg = -15;
    EXPECT_TRUE(check(tropics, typical_clear_year(tropics, northern_months(), 2023)).empty());
    Site south = desert();
    south.latitude_deg = -25;
    EXPECT_TRUE(check(south, design_day_weather(south, {}, 2023)).empty());
}

// ---- Night

/// Elevation of the sun's highest in the hour, minute by minute.
double highest_by_minutes(const Site& site, std::chrono::sys_seconds start) {
    SunPositionInput input;
    input.latitude_deg = site.latitude_deg;
    input.longitude_deg = site.longitude_deg;
    input.elevation_m = site.elevation_m;
    double highest = -90;
    for (int minute = 0; minute <= 60; ++minute) {
        input.instant_utc = start + std::chrono::minutes(minute);
        highest = std::max(highest, sun_position(input).elevation_deg);
    }
    return highest;
}

TEST(WeatherCheckNight, CountsWhatAMinuteByMinuteSunCounts) {
    const Site site = desert();
    Weather weather = typical_clear_year(site, northern_months(), 2023);
    for (auto& start : weather.hour_start_utc) start -= 3h;  // local time read as UTC
    std::size_t lit = 0, night = 0;
    double lowest = 0;
    for (std::size_t h = 0; h < weather.size(); ++h) {
        if (std::max(weather.global_w_m2[h], weather.direct_normal_w_m2[h]) <= 5) continue;
        ++lit;
        const double highest = highest_by_minutes(site, weather.hour_start_utc[h]);
        if (highest < -2) ++night;
        lowest = std::min(lowest, highest);
    }
    ASSERT_GT(night, 700u);  // about two hours of every morning
    const auto warnings = check(site, weather);
    ASSERT_EQ(codes(warnings), Codes{"weather-sun-at-night"});
    EXPECT_EQ(
        warnings[0].text.find(std::to_string(night) + " of " + std::to_string(lit) + " hours"), 0u)
        << warnings[0].text;
    const auto at = warnings[0].text.find("(by up to ") + 10;
    EXPECT_NEAR(std::stod(warnings[0].text.substr(at)), -lowest, 0.06);
    EXPECT_EQ(warnings[0].where.find("hour ending "), 0u);
}

TEST(WeatherCheckNight, FindsALongitudeWithoutItsSign) {
    Site west = desert();
    west.longitude_deg = -45;
    const Weather weather = typical_clear_year(desert(), northern_months(), 2023);
    EXPECT_EQ(codes(check(west, weather)), (Codes{"time-zone-far", "weather-sun-at-night"}));
}

TEST(WeatherCheckNight, FindsOneHourOfDaylightSaving) {
    for (const auto shift : {-1h, 1h}) {
        Weather weather = typical_clear_year(desert(), northern_months(), 2023);
        for (auto& start : weather.hour_start_utc) start += shift;
        EXPECT_EQ(codes(check(desert(), weather)), Codes{"weather-sun-at-night"});
    }
}

TEST(WeatherCheckNight, ForgivesAFewSlips) {
    Weather weather = typical_clear_year(desert(), northern_months(), 2023);
    const auto lit = static_cast<std::size_t>(
        std::ranges::count_if(weather.global_w_m2, [](double value) { return value > 5; }));
    // Midnights of light: each adds itself to the lit hours too.
    const std::size_t most = lit / 100;
    for (std::size_t day = 0; day < most; ++day) weather.global_w_m2[day * 24] = 50;
    EXPECT_TRUE(check(desert(), weather).empty());
    for (std::size_t day = most; day < most + 2; ++day) weather.global_w_m2[day * 24] = 50;
    EXPECT_EQ(codes(check(desert(), weather)), Codes{"weather-sun-at-night"});
}

TEST(WeatherCheckNight, NamesTheWorstHourByTheSitesClock) {
    Weather weather = design_day_weather(desert(), {}, 2023);
    weather.direct_normal_w_m2[0] = 400;  // the sun's lowest is at 00:03 local time there
    const auto warnings = check(desert(), weather);
    ASSERT_EQ(codes(warnings), Codes{"weather-sun-at-night"});
    EXPECT_EQ(warnings[0].where, "hour ending 21 Jul 01:00");
}

// ---- Place

TEST(WeatherCheckPlace, WarnsBeyondHalfADegreeOrAnHour) {
    const Weather weather = design_day_weather(desert(), {}, 2023);
    const auto found = [&](double latitude_deg, double longitude_deg, double utc_offset_h) {
        WeatherPlace place{"1", "Invented", utc_offset_h, latitude_deg, longitude_deg, 600};
        return codes(check_weather(desert(), weather, place));
    };
    EXPECT_EQ(found(25.5, 45.5, 4), Codes{});
    EXPECT_EQ(found(24.5, 44.5, 2), Codes{});
    EXPECT_EQ(found(25.51, 45, 3), Codes{"weather-place-differs"});
    EXPECT_EQ(found(25, 44.49, 3), Codes{"weather-place-differs"});
    EXPECT_EQ(found(25, 45, 4.5), Codes{"weather-place-differs"});
}

TEST(WeatherCheckPlace, KnowsThatLongitudesMeetAt180) {
    Site site = desert();
    site.longitude_deg = 179.9;
    site.utc_offset_h = 12;
    const Weather weather = design_day_weather(site, {}, 2023);
    EXPECT_TRUE(check_weather(site, weather, WeatherPlace{"1", "x", 12, 25, -179.9, 0}).empty());
}

// A made year takes its sun from the site's own clock, so that a slip shows nowhere else.
TEST(WeatherCheckClock, FindsATimeZoneOfTheOtherSign) {
    Site site = desert();
    site.longitude_deg = 29.6;
    site.utc_offset_h = -8;
    for (const Weather& weather :
         {typical_clear_year(site, northern_months(), 2023), design_day_weather(site, {}, 2023)}) {
        const auto warnings = check(site, weather);
        ASSERT_EQ(codes(warnings), Codes{"time-zone-far"});
        // 29.6 degrees are 1 h 58 min ahead of UTC: noon there is 02:02 eight hours behind it.
        EXPECT_NE(warnings[0].text.find("near 02:02"), std::string::npos) << warnings[0].text;
    }
}

// Clocks that are far from the sun by law (common knowledge): western China, 76 E at UTC+8; Samoa,
// 172 W at UTC+13, across the date line; western Spain, 9 W at UTC+1.
TEST(WeatherCheckClock, IsSilentForClocksInUse) {
    for (const auto& [longitude_deg, utc_offset_h] :
         {std::pair(76.0, 8.0), std::pair(-172.0, 13.0), std::pair(-9.0, 1.0)}) {
        Site site = desert();
        site.longitude_deg = longitude_deg;
        site.utc_offset_h = utc_offset_h;
        EXPECT_TRUE(check(site, design_day_weather(site, {}, 2023)).empty()) << longitude_deg;
    }
}

// One degree of a meridian on a sphere of 6371 km is 111.19 km.
TEST(WeatherCheckPlace, SaysHowFar) {
    const Weather weather = design_day_weather(desert(), {}, 2023);
    const auto warnings =
        check_weather(desert(), weather, WeatherPlace{"123", "Invented", 5.5, -25, 45, 0});
    ASSERT_EQ(codes(warnings), Codes{"weather-place-differs"});
    EXPECT_EQ(
        warnings[0].text,
        "the site is at 25.000 N 45.000 E, UTC+3, the weather of Invented from 25.000 S 45.000 "
        "E, UTC+5.5: 5560 km and 2.5 h apart");
    EXPECT_EQ(warnings[0].where, "station 123");
}

}  // namespace
}  // namespace noonshell
