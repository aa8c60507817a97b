// Tables with missing values and lines: what is filled, told and refused.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "solar/weather_table.hpp"
#include "tests/solar/plain_table.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;
using namespace testing_table;

TEST(WeatherTableGaps, KnowsMissingMarks) {
    auto lines = plain_lines();
    const auto with = [&](const std::string& field) {
        auto changed = lines;
        changed[10] = stamp(10, 60) + "," + field + ",40,3,700,90";
        return joined(changed);
    };
    WeatherTableFormat format = plain_format();
    format.missing = {"-77.7", "gone"};
    for (const char* field : {"", "NaN", "na", "gone", "-77.7", "-77.70", "9999", "-999"}) {
        const Weather weather = read(with(field), format);
        ASSERT_EQ(weather.warnings.size(), 1u) << field;
        EXPECT_EQ(weather.warnings[0].text,
                  "1 missing hour of dry_bulb filled by straight lines; the first is of "
                  "2023-07-21 10:00");
        EXPECT_EQ(weather.dry_bulb_c[9], (4.5 + 5.5) / 2);
    }
    EXPECT_EQ(error_of(with("away"), format),
              "met.csv:11:2: dry_bulb: expected a number, saw \"away\"");
    EXPECT_EQ(error_of(with("-93"), format),
              "met.csv:11:2: dry_bulb: expected -90 to 65 degC, saw -93 degC");
}

// Instruments in the dark read a little below 0, wet sensors above 100 %.
TEST(WeatherTableGaps, SetsSmallSlipsOfInstrumentsRight) {
    auto lines = plain_lines();
    lines[1] = stamp(1, 60) + ",0.5,104,3,-4,-2.5";
    const Weather weather = read(joined(lines));
    EXPECT_EQ(weather.direct_normal_w_m2[0], 0);
    EXPECT_EQ(weather.diffuse_w_m2[0], 0);
    EXPECT_NEAR(weather.dew_point_c[0], 0.5, 1e-12);
    lines[1] = stamp(1, 60) + ",0.5,40,3,-40,0";
    EXPECT_EQ(error_of(joined(lines)),
              "met.csv:2:5: direct_normal: expected 0 to 1500 W/m2, saw -40 W/m2");
}

// ---- Gaps and order

TEST(WeatherTableGaps, FillsLinesLeftOut) {
    auto lines = plain_lines();
    lines.erase(lines.begin() + 10, lines.begin() + 13);
    const Weather weather = read(joined(lines));
    ASSERT_EQ(weather.size(), 48u);
    EXPECT_NEAR(weather.dry_bulb_c[10], 5.5, 1e-12);
    EXPECT_EQ(weather.warnings.size(), 5u);
}

// Three lines of readings that are not there are three hours, named by the first of them, whether
// they are instants at the stamp or means; 15 minutes are no hours.
TEST(WeatherTableGaps, CountsAndNamesTheReadingsThatLack) {
    auto lines = plain_lines();
    for (int hour = 10; hour < 13; ++hour)
        lines[static_cast<std::size_t>(hour)] = stamp(hour, 60) + ",,40,3,700,90";
    for (const bool means : {false, true}) {
        WeatherTableFormat format = plain_format();
        format.means = means;
        const Weather weather = read(joined(lines), format);
        ASSERT_EQ(weather.warnings.size(), 1u);
        EXPECT_EQ(weather.warnings[0].text,
                  "3 missing hours of dry_bulb filled by straight lines; the first is of "
                  "2023-07-21 10:00");
        // On the line between 4.5 and 6.5 degrees, as if all were there.
        for (std::size_t h = 8; h < 13; ++h)
            EXPECT_NEAR(weather.dry_bulb_c[h], (static_cast<double>(h) + (means ? 1.5 : 1)) / 2,
                        1e-12);
    }
    std::string quarters = "time,T,RH,v,DNI,DHI\n";
    for (int step = 1; step <= 96; ++step)
        quarters += stamp(step, 15) + (step > 40 && step < 43 ? "," : ",20") + ",40,3,0,0\n";
    const Weather weather = read(quarters);
    ASSERT_EQ(weather.warnings.size(), 1u);
    EXPECT_NE(weather.warnings[0].text.find("2 missing readings (every 15 min) of dry_bulb"),
              std::string::npos)
        << weather.warnings[0].text;
}

TEST(WeatherTableGaps, GapsInUtcSaySo) {
    auto lines = plain_lines();
    lines[10] = stamp(10, 60) + ",,40,3,700,90";
    WeatherTableFormat format = plain_format();
    format.utc_offset_h = 0;
    const Weather weather = read(joined(lines), format);
    ASSERT_EQ(weather.warnings.size(), 1u);
    EXPECT_NE(weather.warnings[0].text.find("2023-07-21 10:00 UTC"), std::string::npos);
}

TEST(WeatherTableGaps, DarkensMissingNights) {
    auto lines = plain_lines();
    for (std::size_t hour : {1u, 2u, 3u, 22u, 23u})
        lines[hour] = stamp(static_cast<int>(hour), 60) + ",20,40,3,,";
    const Weather weather = read(joined(lines));
    EXPECT_EQ(weather.direct_normal_w_m2[0], 0);
    EXPECT_EQ(weather.direct_normal_w_m2[21], 0);
    ASSERT_EQ(weather.warnings.size(), 2u);
    EXPECT_EQ(weather.warnings[0].text,
              "5 missing hours of direct_normal: 0 filled by straight lines, 5 set to 0 with the "
              "sun down; the first ends 2023-07-21 01:00");
}

TEST(WeatherTableGaps, HoldsTheNearestValueAtTheEndsOfAPartOfAYear) {
    auto lines = plain_lines();
    lines[1] = stamp(1, 60) + ",,40,3,0,0";
    lines[48] = stamp(48, 60) + ",,40,3,0,0";
    const Weather weather = read(joined(lines));
    EXPECT_EQ(weather.dry_bulb_c[0], 1);
    EXPECT_EQ(weather.dry_bulb_c[47], 23.5);
}

TEST(WeatherTableGaps, RefusesLongGapsAndDisorder) {
    auto lines = plain_lines();
    auto gap = lines;
    gap.erase(gap.begin() + 10, gap.begin() + 20);
    EXPECT_EQ(error_of(joined(gap)),
              "met.csv:11:1: time stamp: expected gaps of at most 6 h (longest_fill_h), saw 10 "
              "missing hours from "
              "2023-07-21 09:00 on");
    auto empty = lines;
    for (int hour = 10; hour < 17; ++hour)
        empty[static_cast<std::size_t>(hour)] = stamp(hour, 60) + ",,40,3,700,90";
    EXPECT_EQ(
        error_of(joined(empty)),
        "met.csv: dry_bulb: expected gaps of at most 6 h (longest_fill_h), saw 7 missing hours "
        "from 2023-07-21 10:00 on");
    auto twice = lines;
    twice.insert(twice.begin() + 5, lines[5]);
    EXPECT_EQ(
        error_of(joined(twice)),
        "met.csv:7:1: time stamp: expected an interval that begins 2023-07-21 05:00 or later, "
        "saw 2023-07-21 04:00, which is there already or earlier");
    auto none = lines;
    for (std::size_t i = 1; i < none.size(); ++i)
        none[i] = stamp(static_cast<int>(i), 60) + ",,40,3,700,90";
    EXPECT_NE(error_of(joined(none)).find("48 missing hours"), std::string::npos);
}

}  // namespace
}  // namespace noonshell
