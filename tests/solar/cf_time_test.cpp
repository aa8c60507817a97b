// Time axes of the CF conventions against dates known from elsewhere.
#include "solar/cf_time.hpp"

#include <gtest/gtest.h>

#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/weather_samples.hpp"

namespace noonshell {
namespace {

std::string instant(const std::string& units, double value,
                    const std::string& calendar = "standard") {
    return clock_text(CfTimeAxis(units, calendar).instant(value), std::chrono::seconds(0));
}

// Modified Julian date 60000 began on 25 February 2023; a spreadsheet's day 45000 is 15 March 2023
// (counted from 30 December 1899); 1e9 seconds of Unix time were over on 9 September 2001 at
// 01:46:40.
TEST(CfTime, CountsFromItsReference) {
    EXPECT_EQ(instant("days since 1858-11-17", 60000), "2023-02-25 00:00");
    EXPECT_EQ(instant("days since 1858-11-17 00:00:00", 60000.5), "2023-02-25 12:00");
    EXPECT_EQ(instant("days since 1899-12-30", 45000), "2023-03-15 00:00");
    EXPECT_EQ(instant("seconds since 1970-01-01T00:00:00Z", 1e9), "2001-09-09 01:46");
    EXPECT_EQ(instant("minutes since 1980-1-1 0:30", 60), "1980-01-01 01:30");
    EXPECT_EQ(instant("hours since 2023-07-21 00:00:0.0", -1), "2023-07-20 23:00");
    EXPECT_EQ(instant("h since 2023-07-21 03:00 +02:00", 1), "2023-07-21 02:00");
    EXPECT_EQ(instant("hours since 2023-07-21 03:00:00 -7", 1), "2023-07-21 11:00");
}

// Day 1 of the proleptic Gregorian count is 1 January of year 1, 719162 days before 1970; the
// Julian calendar, in force until 1582, is two days behind it in that year.
TEST(CfTime, KnowsOldReferences) {
    EXPECT_EQ(instant("days since 0001-01-01", 719162, "proleptic_gregorian"), "1970-01-01 00:00");
    EXPECT_EQ(instant("days since 1-1-1", 719164, "gregorian"), "1970-01-01 00:00");
    EXPECT_EQ(instant("days since 1582-10-15", 141427, "standard"), "1970-01-01 00:00");
    EXPECT_EQ(instant("days since 1582-10-04", 141428, "standard"), "1970-01-01 00:00");
}

TEST(CfTime, LeavesLeapDaysOut) {
    EXPECT_EQ(instant("days since 2019-12-31", 59, "noleap"), "2020-02-28 00:00");
    EXPECT_EQ(instant("days since 2019-12-31", 60, "noleap"), "2020-03-01 00:00");
    EXPECT_EQ(instant("days since 2019-12-31", 60, "standard"), "2020-02-29 00:00");
    EXPECT_EQ(instant("days since 1950-01-01", 365 * 73, "365_day"), "2023-01-01 00:00");
    EXPECT_EQ(instant("hours since 2020-02-28 12:00", 12, "noleap"), "2020-03-01 00:00");
    const CfTimeAxis axis("hours since 2020-02-28 12:00", "noleap");
    EXPECT_EQ(clock_text(axis.instant(12, -3600), std::chrono::seconds(0)), "2020-02-28 23:00");
}

TEST(CfTime, RoundsToSeconds) {
    EXPECT_EQ(CfTimeAxis("days since 2000-01-01", "").instant(1.0 / 3),
              std::chrono::sys_days{std::chrono::year{2000} / 1 / 1} + std::chrono::hours(8));
}

TEST(CfTime, RefusesWhatItDoesNotKnow) {
    for (const char* units :
         {"", "days", "days since", "months since 2000-01-01", "days since 2000", "days since x",
          "days since 2000-13-01", "days since 2000-01-00", "days after 2000-01-01",
          "hours since 2000-01-01 25:00", "hours since 2000-01-01 00:61", "hours since 2000-01-01X",
          "hours since 2000-01-01 00:00 +20", "hours since 2000-01-01 00:00 Mars"})
        EXPECT_THROW(CfTimeAxis(units, "standard"), InputError) << units;
    for (const char* calendar : {"360_day", "all_leap", "julian", "none"})
        EXPECT_THROW(CfTimeAxis("days since 2000-01-01", calendar), InputError) << calendar;
    const CfTimeAxis axis("days since 2000-01-01", "standard");
    for (const double value : {1e7, -1e7, 1e300, -20000.0, 60000.0, std::stod("nan")})
        EXPECT_THROW(axis.instant(value), InputError) << value;
    EXPECT_THROW(CfTimeAxis("days since 2000-01-01", "noleap").instant(-800000), InputError);
}

}  // namespace
}  // namespace noonshell
