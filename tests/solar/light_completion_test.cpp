// Global, direct and diffuse light from each other.
#include "solar/light_completion.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"
#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"

namespace noonshell {
namespace {

Site desert() {
    Site site;
    site.latitude_deg = 25;
    site.longitude_deg = 45;
    site.elevation_m = 600;
    site.utc_offset_h = 3;
    return site;
}

Weather clear_day() {
    return design_day_weather(desert(), {}, 2023);
}

// On the equator at the equinox the sun stands at sin(elevation) = cos(hour angle); over the hour
// about noon, +-7.5 degrees, its mean is sin(7.5 deg) / 7.5 deg = 0.99715. Noon is at 12:07 there.
TEST(HourSines, MeanOfTheCosineAboutNoon) {
    Site site;
    site.longitude_deg = 360 * 7.4 / 1440;  // noon by the equation of time, -7.4 min, at 12:00
    Weather weather;
    weather.hour_start_utc.emplace_back(std::chrono::sys_days{std::chrono::year{2023} / 3 / 20} +
                                        std::chrono::minutes(11 * 60 + 30));
    const HourSines sines = hour_sines(site, weather);
    EXPECT_NEAR(sines.while_up[0], 0.99715, 1e-4);
    EXPECT_DOUBLE_EQ(sines.whole_hour[0], sines.while_up[0]);
}

// An hour that the sun rises into, at the same place: after a share of s hours of light the mean of
// sin over the lit part is (1 - cos(15 s)) / (15 s rad).
TEST(HourSines, HourOfSunrise) {
    Site site;
    site.longitude_deg = 360 * 7.4 / 1440;
    Weather weather;
    weather.hour_start_utc.emplace_back(std::chrono::sys_days{std::chrono::year{2023} / 3 / 20} +
                                        std::chrono::minutes(5 * 60 + 30));
    const HourSines sines = hour_sines(site, weather);
    // Half an hour of geometric light and the 2.3 min that refraction adds.
    const double lit_h = 0.5 + 0.57 / 15, angle = 15 * 0.5 * std::numbers::pi / 180;
    EXPECT_NEAR(sines.whole_hour[0], 0.5 * (1 - std::cos(angle)) / angle, 0.003);
    const double half_a_step_h = 2.5 / 60;
    EXPECT_NEAR(sines.whole_hour[0] / sines.while_up[0], lit_h, half_a_step_h);
}

TEST(HourSines, NightHasNone) {
    const Weather day = clear_day();
    const HourSines sines = hour_sines(desert(), day);
    EXPECT_EQ(sines.while_up[0], 0);
    EXPECT_EQ(sines.whole_hour[23], 0);
    EXPECT_GT(sines.while_up[12], 0.9);
}

// A clear day, its parts averaged from 10-minute suns: the part taken away comes back. Within an
// hour of low sun the beam is not even, which costs up to 6 W/m2 of level light, or 8 % of the
// beam.
TEST(LightCompletion, GlobalComesBackFromDirectAndDiffuse) {
    const Weather made = clear_day();
    Weather weather = made;
    weather.global_w_m2.clear();
    complete_light(desert(), {}, weather);
    for (std::size_t h = 0; h < 24; ++h)
        EXPECT_NEAR(weather.global_w_m2[h], made.global_w_m2[h], 6) << h;
}

TEST(LightCompletion, DirectComesBackFromGlobalAndDiffuse) {
    const Weather made = clear_day();
    const HourSines sines = hour_sines(desert(), made);
    Weather weather = made;
    weather.direct_normal_w_m2.clear();
    complete_light(desert(), {}, weather);
    std::size_t n = 0;
    for (std::size_t h = 0; h < 24; ++h) {
        if (sines.while_up[h] < 0.1) continue;
        const double close = sines.while_up[h] < 0.35 ? 0.08 : 0.015;
        EXPECT_NEAR(weather.direct_normal_w_m2[h] / made.direct_normal_w_m2[h], 1, close) << h;
        ++n;
    }
    EXPECT_GE(n, 12u);
    EXPECT_EQ(weather.direct_normal_w_m2[0], 0);
}

TEST(LightCompletion, DiffuseComesBackFromGlobalAndDirect) {
    const Weather made = clear_day();
    Weather weather = made;
    weather.diffuse_w_m2.clear();
    complete_light(desert(), {}, weather);
    for (std::size_t h = 0; h < 24; ++h)
        EXPECT_NEAR(weather.diffuse_w_m2[h], made.diffuse_w_m2[h], 12) << h;
}

TEST(LightCompletion, DirectOnLevelGroundIsTurnedIntoTheBeam) {
    Weather weather = clear_day();
    weather.direct_normal_w_m2.assign(24, 700);
    const HourSines sines = hour_sines(desert(), weather);
    std::vector<double> level(24);
    for (std::size_t h = 0; h < 24; ++h) level[h] = 700 * sines.of_beam[h];
    weather.direct_normal_w_m2.clear();
    weather.diffuse_w_m2.clear();
    complete_light(desert(), level, weather);
    EXPECT_NEAR(weather.direct_normal_w_m2[12], 700, 0.01);
    EXPECT_NEAR(weather.diffuse_w_m2[12], weather.global_w_m2[12] - level[12], 1e-9);
}

// [erbs1982] eq. (1): at a clearness of 0.5 the diffuse share is 0.6591, at 0.7 it is 0.2440.
TEST(LightCompletion, GlobalAloneIsSplitByErbs) {
    const HourSines sines = hour_sines(desert(), clear_day());
    const double above_the_air = extraterrestrial_normal_w_m2(202) * sines.whole_hour[12];
    for (const auto& [clearness, share] : {std::pair{0.5, 0.6591}, std::pair{0.7, 0.2440}}) {
        Weather weather = clear_day();
        weather.direct_normal_w_m2.clear();
        weather.diffuse_w_m2.clear();
        weather.global_w_m2.assign(24, 0);
        weather.global_w_m2[12] = clearness * above_the_air;
        complete_light(desert(), {}, weather);
        EXPECT_NEAR(weather.diffuse_w_m2[12] / weather.global_w_m2[12], share, 1e-4);
        const double sine = hour_sines(desert(), weather).of_beam[12];
        EXPECT_NEAR(weather.direct_normal_w_m2[12] * sine + weather.diffuse_w_m2[12],
                    weather.global_w_m2[12], 1e-6);
        EXPECT_EQ(weather.direct_normal_w_m2[0], 0);
    }
}

// Whatever is measured near the horizon, no beam is brighter than clean dry air lets through, none
// comes from a sun below 3 degrees, and what global alone gives is kept as a whole.
TEST(LightCompletion, KeepsTheBeamWithinBounds) {
    Weather weather = clear_day();
    weather.direct_normal_w_m2.clear();
    weather.diffuse_w_m2.clear();
    weather.global_w_m2.assign(24, 900);  // by day and night alike
    const HourSines sines = hour_sines(desert(), weather);
    const std::vector<double> most = most_beam_w_m2(desert(), weather);
    Weather with_diffuse = weather;
    with_diffuse.diffuse_w_m2.assign(24, 10);
    complete_light(desert(), {}, weather);
    complete_light(desert(), {}, with_diffuse);
    const HourSines of_made = hour_sines(desert(), weather);
    std::size_t n_low = 0;
    for (std::size_t h = 0; h < 24; ++h) {
        for (const Weather* made : {&weather, &with_diffuse}) {
            EXPECT_LE(made->direct_normal_w_m2[h], most[h] + 1e-9);
            if (sines.while_up[h] < 0.0523) {
                EXPECT_EQ(made->direct_normal_w_m2[h], 0);
            }
        }
        n_low += sines.while_up[h] < 0.0523 ? 1 : 0;
        EXPECT_NEAR(weather.direct_normal_w_m2[h] * of_made.of_beam[h] + weather.diffuse_w_m2[h],
                    900, 1e-6);
        EXPECT_EQ(with_diffuse.diffuse_w_m2[h], 10);
    }
    EXPECT_GE(n_low, 10u);
}

// By hand: 1600 W/m2 of direct light on level ground about noon, of which the hour's sun gives at
// most its clean beam times its sine.
TEST(LightCompletion, TellsWhatTheBeamCannotHold) {
    Weather weather = clear_day();
    const double most = most_beam_w_m2(desert(), weather)[12];
    const double sine = hour_sines(desert(), weather).while_up[12];
    weather.direct_normal_w_m2.clear();
    weather.global_w_m2.assign(24, 0);
    weather.diffuse_w_m2.assign(24, 0);
    weather.global_w_m2[12] = 1600;
    complete_light(desert(), {}, weather);
    EXPECT_NEAR(weather.direct_normal_w_m2[12], most, 1e-9);
    ASSERT_EQ(weather.warnings.size(), 1u);
    EXPECT_EQ(weather.warnings[0].code, "weather-beam-cut");
    EXPECT_NEAR(std::stod(weather.warnings[0].text), (1600 - most * sine) / 1000, 0.051);
    EXPECT_NE(weather.warnings[0].text.find("of 1.6 kWh/m2"), std::string::npos);
    EXPECT_NE(weather.warnings[0].text.find("(1 hours)"), std::string::npos);
    EXPECT_NE(weather.warnings[0].text.find("left out"), std::string::npos);
    // Within 1 % nothing is said, nor of the parts of a clear day.
    weather.warnings.clear();
    weather.direct_normal_w_m2.clear();
    weather.global_w_m2[12] = most * sine / 0.991;
    complete_light(desert(), {}, weather);
    EXPECT_TRUE(weather.warnings.empty());
    for (const bool diffuse : {true, false}) {
        Weather day = clear_day();
        day.direct_normal_w_m2.clear();
        if (!diffuse) day.diffuse_w_m2.clear();
        complete_light(desert(), {}, day);
        EXPECT_TRUE(day.warnings.empty());
        EXPECT_EQ(day.given_light.diffuse, diffuse);
        EXPECT_FALSE(day.given_light.direct_normal);
    }
}

TEST(LightCompletion, KnowsWhenThereIsTooLittle) {
    Weather weather = clear_day();
    weather.global_w_m2.clear();
    EXPECT_TRUE(enough_light(weather, {}));
    weather.diffuse_w_m2.clear();
    EXPECT_FALSE(enough_light(weather, {}));
    EXPECT_THROW(complete_light(desert(), {}, weather), InvariantError);
}

}  // namespace
}  // namespace noonshell
