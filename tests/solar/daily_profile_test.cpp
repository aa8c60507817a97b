// The solar clock and the daily temperature profile of [ashrae2021] ch. 14, against its printed
// values.
#include "solar/daily_profile.hpp"

#include <gtest/gtest.h>

#include <array>

namespace noonshell {
namespace {

// [ashrae2021] ch. 14 table 2, equation of time on the 21st of each month.
TEST(DailyProfile, HasThePrintedEquationOfTime) {
    constexpr std::array<double, 12> day{21, 52, 80, 111, 141, 172, 202, 233, 264, 294, 325, 355};
    constexpr std::array<double, 12> printed{-10.6, -14.0, -7.9, 1.2,  3.7,  -1.3,
                                             -6.4,  -3.6,  6.9,  15.5, 13.8, 2.2};
    for (std::size_t i = 0; i < 12; ++i)
        EXPECT_NEAR(equation_of_time_min(day[i]), printed[i], 0.05) << day[i];
}

// [ashrae2021] ch. 14 example 2: Atlanta, 21 July, 15:00 daylight time is 13.27 h apparent solar
// time; ch. 18 part 2: 15:00 standard time is 14.2647 h.
TEST(DailyProfile, HasThePrintedSolarTime) {
    EXPECT_NEAR(apparent_solar_time_h(19, -84.43, 202), 13.27, 0.005);
    constexpr double rounded_h = 0.05 / 60;  // the handbook goes on with -6.4 min
    EXPECT_NEAR(apparent_solar_time_h(20, -84.43, 202), 14.2647, rounded_h);
    EXPECT_NEAR(apparent_solar_time_h(2, -84.43, 202), 20.2647, rounded_h);  // the day before
}

// [ashrae2021] ch. 14 example: Atlanta July 5 %, 33.1 C and 11.2 K, 1:00 daylight time is 24.7 C.
// That hour is 23.27 h apparent solar time, which the example takes as hour 23 of table 6.
TEST(DailyProfile, GivesTheWorkedExample) {
    EXPECT_NEAR(33.1 - 11.2 * daily_range_fraction(23), 24.7, 0.05);
}

TEST(DailyProfile, IsPeriodicAndStraightBetweenHours) {
    EXPECT_DOUBLE_EQ(daily_range_fraction(24), daily_range_fraction(0));
    EXPECT_DOUBLE_EQ(daily_range_fraction(-1), daily_range_fraction(23));
    for (int hour = 0; hour < 24; ++hour)
        EXPECT_NEAR(daily_range_fraction(hour + 0.25),
                    0.75 * daily_range_fraction(hour) + 0.25 * daily_range_fraction(hour + 1),
                    1e-12);
}

}  // namespace
}  // namespace noonshell
