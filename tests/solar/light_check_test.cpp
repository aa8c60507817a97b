// Global light against the sum of its parts.
#include <gtest/gtest.h>

#include <array>
#include <string>

#include "solar/hour_sine.hpp"
#include "solar/weather.hpp"
#include "solar/weather_samples.hpp"

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

Weather clear_year() {
    std::array<MonthNormals, 12> months;
    for (MonthNormals& month : months) {
        month.mean_high_c = 35;
        month.mean_low_c = 20;
    }
    return typical_clear_year(desert(), months, 2023);
}

TEST(LightCheck, IsSilentWhereThePartsFit) {
    EXPECT_TRUE(check_light(desert(), clear_year()).empty());
    EXPECT_TRUE(check_light(desert(), design_day_weather(desert(), {}, 2023)).empty());
}

TEST(LightCheck, IsSilentInTheDark) {
    Weather weather = clear_year();
    for (auto* light : {&weather.global_w_m2, &weather.direct_normal_w_m2, &weather.diffuse_w_m2})
        light->assign(weather.size(), 0);
    EXPECT_TRUE(check_light(desert(), weather).empty());
}

/// Even light of known size: 500 W/m2 of beam and 100 of diffuse while the sun is up.
Weather even_light(double global_factor) {
    Weather weather = clear_year();
    weather.direct_normal_w_m2.assign(weather.size(), 500);
    const HourSines sines = hour_sines(desert(), weather);
    for (std::size_t h = 0; h < weather.size(); ++h) {
        const bool up = sines.while_up[h] > 0;
        if (!up) weather.direct_normal_w_m2[h] = 0;
        weather.diffuse_w_m2[h] = up ? 100 : 0;
        weather.global_w_m2[h] = up ? global_factor * (500 * sines.of_beam[h] + 100) : 0;
    }
    return weather;
}

// The rule is 2 % of global: parts that are 1 % or 1.9 % short are let through, 2.1 % are not.
TEST(LightCheck, TellsGapsOfMoreThanTwoPercent) {
    EXPECT_TRUE(check_light(desert(), even_light(1.000)).empty());
    EXPECT_TRUE(check_light(desert(), even_light(1 / 0.981)).empty());
    EXPECT_TRUE(check_light(desert(), even_light(1 / 1.019)).empty());
    EXPECT_EQ(check_light(desert(), even_light(1 / 0.979)).size(), 1u);
    EXPECT_EQ(check_light(desert(), even_light(1 / 1.021)).size(), 1u);
}

TEST(LightCheck, TellsMeanWorstAndNumberOfHours) {
    Weather weather = even_light(1);
    // Every noon hour reads 150 W/m2 too much, that of 11 April 400.
    for (std::size_t day = 0; day < 365; ++day) weather.global_w_m2[24 * day + 12] += 150;
    weather.global_w_m2[24 * 100 + 12] += 250;
    const auto warnings = check_light(desert(), weather);
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "weather-light-differs");
    EXPECT_NE(warnings[0].text.find("by more than 2 % in 365 of them"), std::string::npos)
        << warnings[0].text;
    EXPECT_NE(warnings[0].text.find("at worst global is 400 W/m2 more"), std::string::npos)
        << warnings[0].text;
    EXPECT_EQ(warnings[0].where, "hour ending 11 Apr 13:00");  // day 101 of the year
    // The mean: 365 x 150 + 250 W/m2 over the hours told.
    const auto of = warnings[0].text.find("mean of ");
    ASSERT_NE(of, std::string::npos);
    const double n = std::stod(warnings[0].text.substr(of + 8));
    EXPECT_GT(n, 3900);
    EXPECT_LT(n, 4380);
    const auto lie = warnings[0].text.find(" lie ");
    EXPECT_NEAR(std::stod(warnings[0].text.substr(lie + 5)), (365 * 150 + 250) / n, 0.06);
}

// Means of 3 h: the beam rises and falls with the sun within them, so its mean times the mean sine
// is not what fell on level ground. Such a year is right all the same; one of a clock 1.5 h off is
// not.
TEST(LightCheck, MeansOfSeveralHoursAreComparedAsSuch) {
    const Weather made = clear_year();
    WeatherSamples samples;
    samples.interval_s = 3 * 3600;
    samples.clock_offset = std::chrono::hours(3);
    for (auto& series : samples.series) series.is_mean = true;
    using enum WeatherQuantity;
    for (std::size_t h = 0; h + 3 <= made.size(); h += 3) {
        samples.begin_utc.push_back(made.hour_start_utc[h]);
        const auto add = [&](WeatherQuantity quantity, const std::vector<double>& values) {
            samples[quantity].values.push_back((values[h] + values[h + 1] + values[h + 2]) / 3);
        };
        add(global, made.global_w_m2);
        add(direct_normal, made.direct_normal_w_m2);
        add(diffuse, made.diffuse_w_m2);
        add(dry_bulb, made.dry_bulb_c);
        add(dew_point, made.dew_point_c);
        add(wind_speed, made.wind_speed_m_s);
    }
    const Weather weather = hourly_weather(desert(), samples);
    EXPECT_EQ(weather.light_interval_h, 3);
    EXPECT_TRUE(check_light(desert(), weather).empty());
    for (auto& begin : samples.begin_utc) begin += std::chrono::minutes(90);
    const auto warnings = check_light(desert(), hourly_weather(desert(), samples));
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_NE(warnings[0].text.find("by more than 6 % in"), std::string::npos) << warnings[0].text;
}

TEST(LightCheck, FindsAClockThatIsAnHourOff) {
    Site elsewhere = desert();
    elsewhere.longitude_deg = 30;
    EXPECT_EQ(check_light(elsewhere, clear_year()).size(), 1u);
}

}  // namespace
}  // namespace noonshell
