// Small parts that results are written with: times, CSV fields, effects of one surface.
#include <gtest/gtest.h>

#include <array>
#include <utility>

#include "cli/csv_text.hpp"
#include "cli/local_time.hpp"
#include "cli/result_units.hpp"
#include "cli/surface_effects.hpp"
#include "cli/surfaces_csv.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;

TEST(LocalTime, ShowsStandardTimeWithItsOffset) {
    const sys_seconds noon = sys_days{year{2023} / 7 / 21} + hours(12);
    EXPECT_EQ(local_time_text(noon, 0), "2023-07-21T12:00+00:00");
    EXPECT_EQ(local_time_text(noon, 3.5), "2023-07-21T15:30+03:30");
    EXPECT_EQ(local_time_text(noon, -9.5), "2023-07-21T02:30-09:30");
    EXPECT_EQ(local_time_text(noon, 13), "2023-07-22T01:00+13:00");
    EXPECT_EQ(short_local_time_text(noon, 2), "21 Jul 14:00");
}

TEST(ToldCalendar, EndOfStepCountsFromTheStartOfItsHour) {
    Weather weather;
    const sys_seconds start = sys_days{year{2023} / 1 / 1};
    weather.hour_start_utc = {start, start + hours(1)};
    const ToldCalendar calendar(weather, 0);
    EXPECT_FALSE(calendar.month_years());
    EXPECT_EQ(calendar.end_of_step(0, 4), start + minutes(15));
    EXPECT_EQ(calendar.end_of_step(3, 4), start + hours(1));
    EXPECT_EQ(calendar.end_of_step(7, 4), start + hours(2));
    EXPECT_EQ(calendar.begin(), start);
    EXPECT_EQ(calendar.end(), start + hours(2));
    EXPECT_THROW(calendar.end_of_step(8, 4), InvariantError);
}

/// Hours of a year whose months come from the years given, in the zone 7 h behind UTC.
Weather year_of_months(const std::array<int, 12>& years) {
    Weather weather;
    for (unsigned m = 1; m <= 12; ++m) {
        const year_month_day last{year{years[m - 1]} / month{m} / std::chrono::last};
        const unsigned n_days = m == 2 ? 28 : static_cast<unsigned>(last.day());
        const sys_days first{year{years[m - 1]} / month{m} / 1};
        for (unsigned h = 0; h < 24 * n_days; ++h)
            weather.hour_start_utc.push_back(first + hours(h + 7));
    }
    return weather;
}

TEST(ToldCalendar, TellsATypicalYearAsOneYear) {
    const Weather weather =
        year_of_months({2002, 1988, 1990, 2004, 2001, 1996, 1999, 2000, 1992, 1997, 2003, 2004});
    const ToldCalendar calendar(weather, -7);
    ASSERT_TRUE(calendar.month_years());
    EXPECT_EQ(*calendar.month_years(), std::pair(1988, 2004));
    EXPECT_EQ(calendar.text(calendar.begin()), "2023-01-01T00:00-07:00");
    EXPECT_EQ(calendar.text(calendar.end()), "2024-01-01T00:00-07:00");
    // 21 July is day 202 of a year without a leap day ([ashrae2021] ch. 14 table 2).
    EXPECT_EQ(calendar.text(calendar.end_of_step((201 * 24 + 14) * 2, 2)),
              "2023-07-21T14:30-07:00");
}

TEST(ToldCalendar, KeepsAYearOfOneYear) {
    std::array<int, 12> years;
    years.fill(2020);
    const Weather weather = year_of_months(years);
    const ToldCalendar calendar(weather, -7);
    EXPECT_FALSE(calendar.month_years());
    EXPECT_EQ(calendar.text(calendar.begin()), "2020-01-01T00:00-07:00");
    EXPECT_EQ(calendar.text(calendar.end()), "2021-01-01T00:00-07:00");
}

TEST(CsvField, FollowsRfc4180) {
    EXPECT_EQ(csv_field("plain"), "plain");
    EXPECT_EQ(csv_field("a,b"), "\"a,b\"");
    EXPECT_EQ(csv_field("2\" pipe"), "\"2\"\" pipe\"");
    EXPECT_EQ(csv_field("two\nlines").find('\n'), std::string::npos);
}

TEST(ResultUnits, OneKilowattHour) {
    EXPECT_DOUBLE_EQ(kwh_of_joules(3.6e6), 1);
    EXPECT_DOUBLE_EQ(kwh_of_watt_hours(1000), 1);
    EXPECT_DOUBLE_EQ(kilowatts(1500), 1.5);
}

TEST(SurfaceEffects, FindsThoseOfOneSurfaceAndTheBest) {
    const auto effect = [](std::size_t surface, std::size_t treatment, double saved_j) {
        Effect e;
        e.surface = SurfaceId(surface);
        e.treatment = treatment;
        e.cost = 100;
        e.saves_cooling_j = saved_j;
        return e;
    };
    Ranking ranking;
    ranking.effects = {effect(1, 0, 1e8), effect(1, 1, 3e8), effect(1, 2, 3e8), effect(4, 0, -1e8)};
    ranking.rank = {0, 1, 0, 0, 2};
    EXPECT_TRUE(effects_on(ranking, SurfaceId(std::size_t{0})).empty());
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{2})), nullptr);
    EXPECT_EQ(effects_on(ranking, SurfaceId(std::size_t{1})).size(), 3u);
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{1}))->treatment, 1u);
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{4}))->treatment, 0u);
    ranking.rank.assign(5, 0);
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{1})), nullptr)
        << "nothing saved, no best";
}

}  // namespace
}  // namespace noonshell
