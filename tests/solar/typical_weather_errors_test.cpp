// Normals and design days that must be refused, by name and with what was expected.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <functional>
#include <string>

#include "solar/weather.hpp"

namespace noonshell {
namespace {

Site warm_site() {
    Site site;
    site.latitude_deg = 30;
    return site;
}

std::array<MonthNormals, 12> july_all_year() {
    std::array<MonthNormals, 12> months;
    months.fill({.mean_high_c = 43, .mean_low_c = 28, .dew_point_c = 10, .wind_m_s = 3});
    return months;
}

std::string month_error(const std::function<void(MonthNormals&)>& change) {
    auto months = july_all_year();
    change(months[6]);
    try {
        typical_clear_year(warm_site(), months, 2023);
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

TEST(TypicalClearYear, NamesTheMonthThatIsWrong) {
    EXPECT_EQ(month_error([](MonthNormals& m) { m.mean_low_c = 44; }),
              "[weather] month 7: mean_low_c: expected at most 43 (mean_high_c), saw 44");
    EXPECT_EQ(month_error([](MonthNormals& m) { m.mean_high_c = 109; }),
              "[weather] month 7: mean_high_c: expected -90 to 65, saw 109");
    EXPECT_EQ(month_error([](MonthNormals& m) { m.mean_low_c = std::nan(""); }),
              "[weather] month 7: mean_low_c: expected -90 to 65, saw nan");
    EXPECT_EQ(month_error([](MonthNormals& m) { m.dew_point_c = 34; }),
              "[weather] month 7: dew_point_c: expected at most 33 (mean_low_c + 5 K), saw 34");
    EXPECT_EQ(month_error([](MonthNormals& m) { m.wind_m_s = -1; }),
              "[weather] month 7: wind_m_s: expected 0 to 60, saw -1");
    EXPECT_EQ(month_error([](MonthNormals& m) { m.tau_b = 2.1; }),
              "[weather] month 7: tau_b: expected 0.05 to 2, saw 2.1");
    EXPECT_EQ(month_error([](MonthNormals& m) { m.tau_d = 0.4; }),
              "[weather] month 7: tau_d: expected 0.5 to 4, saw 0.4");
    EXPECT_EQ(month_error([](MonthNormals&) {}), "no error");
}

std::string day_error(const std::function<void(DesignDay&)>& change, int year = 2023,
                      double latitude_deg = 30) {
    DesignDay day{.peak_dry_bulb_c = 33.1, .daily_range_k = 11.2};
    change(day);
    Site site = warm_site();
    site.latitude_deg = latitude_deg;
    try {
        design_day_weather(site, day, year);
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

TEST(DesignDayWeather, NamesWhatIsWrong) {
    EXPECT_EQ(day_error([](DesignDay& d) { d.month = 0; }),
              "[weather] design day: month: expected 1 to 12, saw 0");
    EXPECT_EQ(day_error([](DesignDay& d) { d.month = 13; }),
              "[weather] design day: month: expected 1 to 12, saw 13");
    EXPECT_EQ(day_error([](DesignDay& d) { d.month = 6, d.day = 31; }),
              "[weather] design day: day: expected 1 to 30, saw 31");
    const auto leap_day = [](DesignDay& d) { d.month = 2, d.day = 29; };
    EXPECT_EQ(day_error(leap_day, 2023), "[weather] design day: day: expected 1 to 28, saw 29");
    EXPECT_EQ(day_error(leap_day, 2024), "no error");
    EXPECT_EQ(day_error([](DesignDay& d) { d.daily_range_k = -1; }),
              "[weather] design day: daily_range_k: expected 0 to 40, saw -1");
    EXPECT_EQ(day_error([](DesignDay& d) { d.dew_point_c = 27; }),
              "[weather] design day: dew_point_c: expected at most 26.9 (peak_dry_bulb_c - "
              "daily_range_k + 5 K), saw 27");
    EXPECT_EQ(day_error([](DesignDay& d) { d.tau_b = std::nan(""); }),
              "[weather] design day: tau_b: expected 0.05 to 2, saw nan");
    EXPECT_EQ(day_error([](DesignDay& d) { d.wind_m_s = -0.1; }),
              "[weather] design day: wind_m_s: expected 0 to 60, saw -0.1");
    EXPECT_EQ(day_error([](DesignDay&) {}, 1066),
              "[weather] year: expected 1950 to 2150, saw 1066");
    EXPECT_EQ(day_error([](DesignDay&) {}, 2023, 91),
              "[site] latitude_deg: expected -90 to 90, saw 91");
}

}  // namespace
}  // namespace noonshell
