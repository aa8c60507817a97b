// Small parts that results are written with: times, CSV fields, effects of one surface.
#include <gtest/gtest.h>

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

TEST(LocalTime, EndOfStepCountsFromTheStartOfItsHour) {
    Weather weather;
    const sys_seconds start = sys_days{year{2023} / 1 / 1};
    weather.hour_start_utc = {start, start + hours(1)};
    EXPECT_EQ(end_of_step(weather, 0, 4), start + minutes(15));
    EXPECT_EQ(end_of_step(weather, 3, 4), start + hours(1));
    EXPECT_EQ(end_of_step(weather, 7, 4), start + hours(2));
    EXPECT_EQ(end_of_period(weather), start + hours(2));
    EXPECT_THROW(end_of_step(weather, 8, 4), InvariantError);
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
    EXPECT_TRUE(effects_on(ranking, SurfaceId(std::size_t{0})).empty());
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{2})), nullptr);
    EXPECT_EQ(effects_on(ranking, SurfaceId(std::size_t{1})).size(), 3u);
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{1}))->treatment, 1u);
    EXPECT_EQ(best_effect_on(ranking, SurfaceId(std::size_t{4}))->treatment, 0u);
}

}  // namespace
}  // namespace noonshell
