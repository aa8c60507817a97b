// Light that cannot be. Years are of [ashrae2021] or [ineichen2002] skies, then spoilt by the slips
// that users make.
#include "solar/light_limits.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>

#include "solar/hour_sine.hpp"

namespace noonshell {
namespace {

Site place(double latitude_deg, double elevation_m) {
    Site site;
    site.latitude_deg = latitude_deg;
    site.longitude_deg = 30;
    site.utc_offset_h = 2;
    site.elevation_m = elevation_m;
    return site;
}

Weather clear_year(const Site& site, double tau_b = 0.4, double tau_d = 2.2) {
    std::array<MonthNormals, 12> months;
    for (MonthNormals& month : months) {
        month.mean_high_c = 35;
        month.mean_low_c = 20;
        month.tau_b = tau_b;
        month.tau_d = tau_d;
    }
    return typical_clear_year(site, months, 2023);
}

Weather turbid_year(const Site& site, double turbidity) {
    std::array<MonthNormals, 12> months;
    for (MonthNormals& month : months) {
        month.mean_high_c = 35;
        month.mean_low_c = 20;
        month.linke_turbidity = turbidity;
    }
    return typical_clear_year(site, months, 2023, ClearSkyModel::turbidity);
}

void scale(Weather& weather, double factor) {
    for (auto* light : {&weather.global_w_m2, &weather.direct_normal_w_m2, &weather.diffuse_w_m2})
        for (double& value : *light) value *= factor;
}

/// Clouds for `share` of the days: the beam gone, a third of the global light left, all diffuse.
void cloud(Weather& weather, int days_of_ten) {
    for (std::size_t h = 0; h < weather.size(); ++h) {
        if (static_cast<int>(7 * (h / 24) % 10) >= days_of_ten) continue;
        weather.diffuse_w_m2[h] = weather.global_w_m2[h] /= 3;
        weather.direct_normal_w_m2[h] = 0;
    }
}

std::string told(const Site& site, const Weather& weather) {
    const auto warnings = check_light_limits(site, weather);
    EXPECT_LE(warnings.size(), 1u);
    if (warnings.empty()) return "";
    EXPECT_EQ(warnings[0].code, "weather-light-implausible");
    return warnings[0].text;
}

TEST(LightLimits, AreSilentOnSkiesThatAre) {
    for (const double latitude_deg : {0.0, 30.0, -34.0, 60.0, 78.0}) {
        const Site low = place(latitude_deg, 0), high = place(latitude_deg, 3500);
        EXPECT_EQ(told(low, clear_year(low)), "") << latitude_deg;
        EXPECT_EQ(told(low, clear_year(low, 0.25, 2.6)), "") << latitude_deg;
        EXPECT_EQ(told(low, clear_year(low, 0.8, 1.7)), "") << latitude_deg;  // dust
        EXPECT_EQ(told(low, turbid_year(low, 2)), "") << latitude_deg;
        EXPECT_EQ(told(low, turbid_year(low, 7)), "") << latitude_deg;
        EXPECT_EQ(told(high, turbid_year(high, 2)), "") << latitude_deg;
        Weather cloudy = clear_year(low);
        cloud(cloudy, 8);
        EXPECT_EQ(told(low, cloudy), "") << latitude_deg;
    }
}

TEST(LightLimits, TellTooMuch) {
    const Site site = place(30, 100);
    for (const double factor : {1.3, 1.4, 3.6}) {
        Weather weather = clear_year(site);
        scale(weather, factor);
        const std::string text = told(site, weather);
        EXPECT_NE(text.find("where a cloudless sky of clean dry air gives"), std::string::npos)
            << factor << text;
        weather.given_light = {true, false, false};
        EXPECT_NE(told(site, weather), "") << factor;
    }
    // Half the days cloudy: the year is not too bright, but its clear hours are.
    Weather weather = clear_year(site);
    scale(weather, 1.5);
    cloud(weather, 5);
    const std::string text = told(site, weather);
    EXPECT_EQ(text.find("where a cloudless sky"), std::string::npos) << text;
    EXPECT_NE(text.find("more global light than the sun outside the air"), std::string::npos)
        << text;
    EXPECT_NE(text.find("more direct light than clean dry air lets through"), std::string::npos)
        << text;
}

// kJ/m2 taken for Wh/m2: 1 / 3.6 of the light, the year's clearness of 0.70 becomes 0.20.
TEST(LightLimits, TellTooLittle) {
    const Site site = place(30, 100);
    Weather weather = clear_year(site);
    scale(weather, 1 / 3.6);
    const std::string text = told(site, weather);
    EXPECT_NE(text.find("even the clearest twentieth of the hours"), std::string::npos) << text;
    EXPECT_NE(text.find("(the period's global light is 0.20"), std::string::npos) << text;
}

TEST(LightLimits, TellABeamThatIsTakenDownToLevelGround) {
    for (const double turbidity : {2.0, 4.0, 7.0}) {
        const Site site = place(30, turbidity < 3 ? 2500 : 100);
        Weather weather = turbid_year(site, turbidity);
        const HourSines sines = hour_sines(site, weather);
        for (std::size_t h = 0; h < weather.size(); ++h) {
            weather.direct_normal_w_m2[h] *= sines.while_up[h];
            weather.global_w_m2[h] =
                weather.direct_normal_w_m2[h] * sines.while_up[h] + weather.diffuse_w_m2[h];
        }
        EXPECT_NE(told(site, weather).find("direct_normal may be direct_horizontal"),
                  std::string::npos)
            << turbidity;
        // What was worked out is not asked.
        weather.given_light = {true, false, true};
        EXPECT_EQ(told(site, weather).find("direct_horizontal"), std::string::npos);
    }
}

TEST(LightLimits, TellDiffuseLightBeyondSkies) {
    const Site site = place(30, 100);
    Weather weather = clear_year(site);
    weather.diffuse_w_m2 = weather.global_w_m2;  // the columns swapped
    for (double& value : weather.diffuse_w_m2) value *= 1.1;
    EXPECT_NE(told(site, weather).find("more diffuse light than skies have"), std::string::npos)
        << told(site, weather);
}

TEST(LightLimits, SaysNothingOfDarkness) {
    const Site site = place(30, 100);
    Weather weather = clear_year(site);
    weather.hour_start_utc.resize(5);
    for (auto* light : {&weather.global_w_m2, &weather.direct_normal_w_m2, &weather.diffuse_w_m2})
        light->assign(5, 0);
    EXPECT_EQ(told(site, weather), "");
}

}  // namespace
}  // namespace noonshell
