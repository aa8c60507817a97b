// TMY3 files: layout, units and hour labels of [wilcox2008]; every file here is invented by code.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <string>

#include "solar/tmy3_calendar.hpp"
#include "solar/weather.hpp"
#include "tests/solar/invented_tmy3.hpp"

namespace noonshell {
namespace {

using namespace std::chrono_literals;
using std::chrono::sys_days;
using testing_tmy3::InventedTmy3;
using testing_tmy3::write_temporary;

Tmy3File read(const InventedTmy3& invented, int longest_fill_h = 6) {
    return read_tmy3(write_temporary(invented.text()), longest_fill_h);
}

void expect_same_weather(const Weather& a, const Weather& b) {
    EXPECT_EQ(a.hour_start_utc, b.hour_start_utc);
    EXPECT_EQ(a.dry_bulb_c, b.dry_bulb_c);
    EXPECT_EQ(a.dew_point_c, b.dew_point_c);
    EXPECT_EQ(a.wind_speed_m_s, b.wind_speed_m_s);
    EXPECT_EQ(a.wind_direction_deg, b.wind_direction_deg);
    EXPECT_EQ(a.pressure_pa, b.pressure_pa);
    EXPECT_EQ(a.global_w_m2, b.global_w_m2);
    EXPECT_EQ(a.direct_normal_w_m2, b.direct_normal_w_m2);
    EXPECT_EQ(a.diffuse_w_m2, b.diffuse_w_m2);
}

std::size_t index_of(int month, int day, int hour) {
    std::size_t days = static_cast<std::size_t>(day - 1);
    for (int m = 1; m < month; ++m)
        days +=
            static_cast<std::size_t>(testing_tmy3::days_in_month[static_cast<std::size_t>(m - 1)]);
    return days * 24 + static_cast<std::size_t>(hour - 1);
}

// ---- What is read

TEST(Tmy3, ReadsThePlace) {
    const Tmy3File file = read({});
    EXPECT_EQ(file.place.station, "000000");
    EXPECT_EQ(file.place.name, "INVENTED STATION");
    EXPECT_EQ(file.place.utc_offset_h, -7);
    EXPECT_EQ(file.place.latitude_deg, 32);
    EXPECT_EQ(file.place.longitude_deg, -111);
    EXPECT_EQ(file.place.elevation_m, 800);
    EXPECT_EQ(file.weather.source, "TMY3 station 000000, INVENTED STATION, XX");
}

TEST(Tmy3, ReadsEveryQuantityInSiUnits) {
    InventedTmy3 invented;
    const std::size_t hour = index_of(3, 14, 12);
    invented.at(hour, InventedTmy3::ghi) = "811";
    invented.at(hour, InventedTmy3::dni) = "902.5";
    invented.at(hour, InventedTmy3::dhi) = "73";
    invented.at(hour, InventedTmy3::dry) = "-3.4";
    invented.at(hour, InventedTmy3::dew) = "-17.8";
    invented.at(hour, InventedTmy3::pressure) = "999";  // nines, and yet a pressure
    invented.at(hour, InventedTmy3::wdir) = "270";
    invented.at(hour, InventedTmy3::wspd) = "12.3";
    const Weather weather = read(invented).weather;
    ASSERT_EQ(weather.size(), 8760u);
    EXPECT_TRUE(weather.periodic);
    EXPECT_TRUE(weather.warnings.empty());
    EXPECT_EQ(weather.global_w_m2[hour], 811);
    EXPECT_EQ(weather.direct_normal_w_m2[hour], 902.5);
    EXPECT_EQ(weather.diffuse_w_m2[hour], 73);
    EXPECT_EQ(weather.dry_bulb_c[hour], -3.4);
    EXPECT_EQ(weather.dew_point_c[hour], -17.8);
    EXPECT_EQ(weather.pressure_pa[hour], 99900);
    EXPECT_EQ(weather.wind_direction_deg[hour], 270);
    EXPECT_EQ(weather.wind_speed_m_s[hour], 12.3);
    EXPECT_EQ(weather.pressure_pa[0], 92600);
    EXPECT_TRUE(weather.longwave_down_w_m2.empty());
}

// The standard's total sky cover stands in tenths; a file may lack it or hold marks alone, which is
// told and no error.
TEST(Tmy3, CloudCoverIsReadWhereItIsThere) {
    EXPECT_TRUE(read({}).weather.cloud_cover.empty());
    InventedTmy3 clouded;
    clouded.rows[1][InventedTmy3::extra] = "TotCld (tenths)";
    for (std::size_t hour = 0; hour < 8760; ++hour) clouded.at(hour, InventedTmy3::extra) = "3";
    clouded.at(7, InventedTmy3::extra) = "-9900";
    const Weather weather = read(clouded).weather;
    ASSERT_EQ(weather.cloud_cover.size(), 8760u);
    EXPECT_NEAR(weather.cloud_cover[7], 0.3, 1e-12);
    for (std::size_t hour = 0; hour < 8760; ++hour) clouded.at(hour, InventedTmy3::extra) = "-9900";
    const Weather without = read(clouded).weather;
    EXPECT_TRUE(without.cloud_cover.empty());
    ASSERT_EQ(without.warnings.size(), 1u);
    EXPECT_EQ(without.warnings[0].code, "weather-left-out");
}

// Hour-ending labels in local standard time, UTC-7: the first hour begins at 07:00 UTC.
TEST(Tmy3, PutsEveryHourAtItsBeginningInUtc) {
    const Weather weather = read({}).weather;
    for (int month = 1; month <= 12; ++month) {
        const std::chrono::year year{InventedTmy3::year_of(month)};
        const sys_days first{year / std::chrono::month{static_cast<unsigned>(month)} / 1};
        const std::size_t begin = index_of(month, 1, 1);
        EXPECT_EQ(weather.hour_start_utc[begin], first + 7h) << month;
        const auto n = static_cast<std::size_t>(
            testing_tmy3::days_in_month[static_cast<std::size_t>(month - 1)] * 24);
        for (std::size_t i = 1; i < n; ++i)
            ASSERT_EQ(weather.hour_start_utc[begin + i] - weather.hour_start_utc[begin + i - 1],
                      1h);
    }
}

TEST(Tmy3, TakesZonesOfHalfHours) {
    InventedTmy3 invented;
    invented.rows[0][3] = "5.5";
    const sys_days first{std::chrono::year{InventedTmy3::year_of(1)} / 1 / 1};
    EXPECT_EQ(read(invented).weather.hour_start_utc[0], first - 5h - 30min);
}

// ---- Spellings of the same file

std::string unpadded(const std::string& text) {
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] != '0' || (i > 0 && text[i - 1] != '/')) result += text[i];
    return result;
}

using Respell = std::function<void(InventedTmy3&)>;

void for_every_midnight(InventedTmy3& invented, const std::function<void(std::size_t)>& change) {
    for (std::size_t hour = 23; hour < 8760; hour += 24) change(hour);
    ASSERT_EQ(invented.rows.size(), 8762u);
}

std::string next_day(const std::string& date) {
    const auto part = [&](std::size_t at, std::size_t n) { return std::stoi(date.substr(at, n)); };
    const sys_days today{std::chrono::year{part(6, 4)} /
                         std::chrono::month{static_cast<unsigned>(part(0, 2))} /
                         std::chrono::day{static_cast<unsigned>(part(3, 2))}};
    const std::chrono::year_month_day next{today + std::chrono::days{1}};
    return std::to_string(static_cast<unsigned>(next.month())) + "/" +
           std::to_string(static_cast<unsigned>(next.day())) + "/" +
           std::to_string(static_cast<int>(next.year()));
}

struct Spelling {
    const char* name;
    Respell change;
};

class Tmy3Spelling : public ::testing::TestWithParam<Spelling> {};

TEST_P(Tmy3Spelling, ReadsTheSame) {
    const Weather plain = read({}).weather;
    InventedTmy3 invented;
    GetParam().change(invented);
    const Tmy3File file = read(invented);
    EXPECT_EQ(file.place.name, "INVENTED STATION");
    expect_same_weather(file.weather, plain);
}

INSTANTIATE_TEST_SUITE_P(
    All, Tmy3Spelling,
    ::testing::Values(Spelling{"windows",
                               [](InventedTmy3& f) {
                                   f.line_break = "\r\n";
                                   f.rows[0][0] = "\xEF\xBB\xBF" + f.rows[0][0];
                               }},
                      Spelling{"trailing_commas",
                               [](InventedTmy3& f) {
                                   for (auto& row : f.rows) row.resize(20);
                                   f.rows.emplace_back(20);
                                   f.rows.emplace_back(1);
                               }},
                      Spelling{"quoted",
                               [](InventedTmy3& f) {
                                   for (auto& row : f.rows)
                                       for (auto& field : row) field = '"' + field + '"';
                               }},
                      Spelling{"unpadded",
                               [](InventedTmy3& f) {
                                   for (std::size_t i = 2; i < f.rows.size(); ++i) {
                                       auto& date = f.rows[i][0];
                                       date = unpadded(date.substr(0, 6)) + date.substr(6);
                                       auto& time = f.rows[i][1];
                                       if (time[0] == '0') time.erase(0, 1);
                                   }
                               }},
                      Spelling{"seconds",
                               [](InventedTmy3& f) {
                                   for (std::size_t i = 2; i < f.rows.size(); ++i)
                                       f.rows[i][1] += ":00";
                               }},
                      Spelling{"midnight_of_next_day",
                               [](InventedTmy3& f) {
                                   for_every_midnight(f, [&](std::size_t hour) {
                                       f.at(hour, f.date) = next_day(f.at(hour, f.date));
                                       f.at(hour, f.time) = "0:00";
                                   });
                               }},
                      Spelling{"midnight_of_same_day",
                               [](InventedTmy3& f) {
                                   for_every_midnight(f, [&](std::size_t hour) {
                                       f.at(hour, f.time) = "00:00:00";
                                   });
                               }},
                      Spelling{"iso_dates",
                               [](InventedTmy3& f) {
                                   for (std::size_t i = 2; i < f.rows.size(); ++i) {
                                       const std::string date = f.rows[i][0];
                                       f.rows[i][0] = date.substr(6) + "-" + date.substr(0, 2) +
                                                      "-" + date.substr(3, 2);
                                   }
                               }},
                      Spelling{"names",
                               [](InventedTmy3& f) {
                                   f.rows[1] = {"DATE(MM/DD/YYYY)",
                                                "time (hh:mm)",
                                                "etr",
                                                " ghi(W/m2)",
                                                "GHI source",
                                                "DNI (W/m\xC2\xB2)",
                                                "dhi (w/m^2)",
                                                "Dry-Bulb (\xC2\xB0"
                                                "C)",
                                                "DEW-POINT (C)",
                                                "Pressure(mbar)",
                                                "wdir (Degrees)",
                                                "WSPD (M/S)",
                                                ""};
                               }},
                      Spelling{"other_order",
                               [](InventedTmy3& f) {
                                   for (std::size_t i = 1; i < f.rows.size(); ++i)
                                       std::reverse(f.rows[i].begin(), f.rows[i].end());
                               }}),
    [](const auto& test) { return std::string(test.param.name); });

TEST(Tmy3, DoesWithoutWindDirection) {
    InventedTmy3 invented;
    invented.rows[1][InventedTmy3::wdir] = "nothing of use";
    EXPECT_TRUE(read(invented).weather.wind_direction_deg.empty());
}

TEST(Tmy3, TakesLatin1Names) {
    InventedTmy3 invented;
    invented.rows[0][1] = "INVENT\xC9";
    EXPECT_EQ(read(invented).place.name, "INVENT\xC3\x89");
}

TEST(Tmy3, NamesStandOnOneLine) {
    InventedTmy3 invented;
    invented.rows[0][1] = "\"INVENTED\nPLACE\"";
    const Tmy3File file = read(invented);
    EXPECT_EQ(file.place.name, "INVENTED PLACE");
    EXPECT_EQ(file.weather.source, "TMY3 station 000000, INVENTED PLACE, XX");
}

// ---- What is filled

TEST(Tmy3Fill, RestoresALinearRampAndCounts) {
    InventedTmy3 invented;
    for (std::size_t h = 0; h < 48; ++h) invented.at(h, InventedTmy3::dry) = std::to_string(h);
    const char* marks[] = {"-9900", "-9999", "99999", "", "-999", "-99"};
    for (std::size_t h = 20; h < 26; ++h) invented.at(h, InventedTmy3::dry) = marks[h - 20];
    invented.at(40, InventedTmy3::dry) = "99.9";
    const Weather weather = read(invented).weather;
    for (std::size_t h = 0; h < 48; ++h)
        EXPECT_NEAR(weather.dry_bulb_c[h], static_cast<double>(h), 1e-12);
    ASSERT_EQ(weather.warnings.size(), 1u);
    EXPECT_EQ(weather.warnings[0].code, "weather-filled");
    EXPECT_EQ(weather.warnings[0].text,
              "7 missing hours of Dry-bulb (C): 7 filled by straight lines; the first ends 01/01 "
              "21:00");
    EXPECT_TRUE(weather.warnings[0].where.ends_with(".csv:23:8")) << weather.warnings[0].where;
}

TEST(Tmy3Fill, KeepsToTheLongestGapAllowed) {
    InventedTmy3 invented;
    for (std::size_t h = 20; h < 22; ++h) invented.at(h, InventedTmy3::dew) = "-9900";
    EXPECT_EQ(read(invented, 2).weather.dew_point_c[21], 2.5);
    EXPECT_THROW(read(invented, 1), InputError);
    EXPECT_THROW(read(invented, -5), InputError);
}

TEST(Tmy3Fill, JoinsDecemberToJanuary) {
    InventedTmy3 invented;
    invented.at(8758, InventedTmy3::wspd) = "2";
    invented.at(8759, InventedTmy3::wspd) = "-9900";
    invented.at(0, InventedTmy3::wspd) = "-9900";
    invented.at(1, InventedTmy3::wspd) = "8";
    const Weather weather = read(invented).weather;
    EXPECT_DOUBLE_EQ(weather.wind_speed_m_s[8759], 4);
    EXPECT_DOUBLE_EQ(weather.wind_speed_m_s[0], 6);
}

// At 32 N, 111 W, UTC-7, 5 January, the sun rises at about 07:25 and sets at about 17:30: light
// missing from the hour ending 18:00, whose first half hour has sun, to the one ending 07:00 is a
// gap of one hour and a night of 13.
TEST(Tmy3Fill, KnowsThatNightIsDark) {
    InventedTmy3 invented;
    const std::size_t first = index_of(1, 5, 18), last = index_of(1, 6, 7);
    for (std::size_t h = first; h <= last; ++h) invented.at(h, InventedTmy3::ghi) = "-9900";
    invented.at(first - 1, InventedTmy3::ghi) = "60";
    const Weather weather = read(invented).weather;
    EXPECT_DOUBLE_EQ(weather.global_w_m2[first], 30);  // half-way between 60 and the night's 0
    for (std::size_t h = first + 1; h <= last; ++h) EXPECT_EQ(weather.global_w_m2[h], 0);
    ASSERT_EQ(weather.warnings.size(), 1u);
    EXPECT_EQ(
        weather.warnings[0].text,
        "14 missing hours of GHI (W/m^2): 1 filled by straight lines, 13 set to 0 with the sun "
        "down; the first ends 01/05 18:00");
}

TEST(Tmy3Calendar, LabelsHoursByTheirEnd) {
    EXPECT_EQ(hour_label(0), "01/01 01:00");
    EXPECT_EQ(hour_label(23), "01/01 24:00");
    EXPECT_EQ(hour_label(59 * 24), "03/01 01:00");
    EXPECT_EQ(hour_label(8759), "12/31 24:00");
}

}  // namespace
}  // namespace noonshell
