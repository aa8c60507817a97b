// Outdoor conditions by step, and the ground's own balance against steady and harmonic closed
// forms.
#include "thermal/surroundings.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"
#include "thermal/construction.hpp"
#include "thermal/longwave.hpp"
#include "thermal/outside_face.hpp"

namespace noonshell {
namespace {

Weather weather_of(std::size_t n_hours, double (*air_c)(double), double global_w_m2) {
    Weather w;
    const std::chrono::sys_seconds first{std::chrono::sys_days{std::chrono::year{2023} / 7 / 1}};
    for (std::size_t h = 0; h < n_hours; ++h) {
        w.hour_start_utc.push_back(first + std::chrono::hours(h));
        w.dry_bulb_c.push_back(air_c(static_cast<double>(h + 1)));
    }
    w.dew_point_c.assign(n_hours, 10);
    w.wind_speed_m_s.assign(n_hours, 2);
    w.pressure_pa.assign(n_hours, 101325);
    w.global_w_m2.assign(n_hours, global_w_m2);
    w.direct_normal_w_m2.assign(n_hours, 0);
    w.diffuse_w_m2.assign(n_hours, global_w_m2);
    return w;
}

double steady(double) {
    return 30;
}
double daily(double hour) {
    return 30 - 8 * std::cos(2 * std::numbers::pi * hour / 24);
}

TEST(Surroundings, DeepGroundIsTheYearsMeanWhereThatIsTold) {
    const Weather w = weather_of(
        24, [](double h) { return h > 12 ? 40.0 : 30.0; }, 0);
    EXPECT_DOUBLE_EQ(make_surroundings({}, w).deep_ground_c, 35);
    const Surroundings s = make_surroundings({}, w, {.yearly_mean_c = 18});
    EXPECT_EQ(s.deep_ground_c, 18);
    EXPECT_NEAR(s.mean_air_c(), 35, 0.5);
}

TEST(Surroundings, AirRunsInStraightLinesThroughTheHourLabels) {
    const Weather w = weather_of(24, daily, 0);
    const Surroundings s = make_surroundings({}, w, {.step_s = 900});
    ASSERT_EQ(s.n_steps(), 96u);
    for (std::size_t h = 0; h < 24; ++h) EXPECT_DOUBLE_EQ(s.air_c[4 * h + 3], w.dry_bulb_c[h]);
    EXPECT_DOUBLE_EQ(s.air_c[4 * 5 + 1], 0.5 * (w.dry_bulb_c[4] + w.dry_bulb_c[5]));
    // The day follows on itself.
    EXPECT_DOUBLE_EQ(s.air_c[1], 0.5 * (w.dry_bulb_c[23] + w.dry_bulb_c[0]));
}

TEST(Surroundings, MeasuredLongwaveIsUsedWhereThereIsSome) {
    Weather w = weather_of(24, steady, 0);
    w.longwave_down_w_m2.assign(24, 345.6);
    for (const double l : make_surroundings({}, w).sky_longwave_w_m2) EXPECT_DOUBLE_EQ(l, 345.6);
}

TEST(Surroundings, LocalHourFollowsTheOffset) {
    const Weather w = weather_of(24, steady, 0);
    Site site;
    site.utc_offset_h = 3.5;
    const Surroundings s = make_surroundings(site, w);
    EXPECT_EQ(s.week_hour[0] % 24, 3u);
    EXPECT_EQ(s.week_hour[21] % 24, 0u);
}

// 21 July 2023 was a Friday (calendar); hours of the week are counted from Monday, 0:00.
TEST(Surroundings, WeekdaysFollowTheDateOrTheOneGiven) {
    Weather w = weather_of(4 * 24, steady, 0);
    const auto begin = std::chrono::sys_days(std::chrono::year(2023) / 7 / 21);
    for (std::size_t h = 0; h < w.size(); ++h) w.hour_start_utc[h] = begin + std::chrono::hours(h);
    Site site;
    site.utc_offset_h = 3;
    const Surroundings by_date = make_surroundings(site, w);
    EXPECT_EQ(by_date.week_hour[0], 4 * 24 + 3u);
    EXPECT_EQ(by_date.week_hour[21], 5 * 24u);
    EXPECT_EQ(by_date.week_hour[69], 0u);
    const Surroundings given = make_surroundings(site, w, {.first_weekday = 6});
    EXPECT_EQ(given.week_hour[0], 6 * 24 + 3u);
    EXPECT_EQ(given.week_hour[21], 0u);
    // A site behind UTC begins on the day before.
    site.utc_offset_h = -5;
    EXPECT_EQ(make_surroundings(site, w).week_hour[0], 3 * 24 + 19u);
}

TEST(Surroundings, StepMustDivideTheHour) {
    const Weather w = weather_of(24, steady, 0);
    EXPECT_THROW(make_surroundings({}, w, {.step_s = 700}), InputError);
    EXPECT_THROW(make_surroundings({}, w, {.step_s = 7200}), InputError);
    EXPECT_THROW(make_surroundings({}, w, {.step_s = 0}), InputError);
}

// An overcast sky is the warmer one by [clark1978]; where longwave was measured, clouds say no
// more.
TEST(Surroundings, CloudsCountWhereNoLongwaveWasMeasured) {
    Weather clear = weather_of(24, steady, 300), overcast = clear, measured = clear;
    overcast.cloud_cover.assign(24, 1.0);
    measured.cloud_cover.assign(24, 1.0);
    measured.longwave_down_w_m2.assign(24, 345.6);
    const Surroundings a = make_surroundings({}, clear), b = make_surroundings({}, overcast);
    for (std::size_t i = 0; i < a.sky_longwave_w_m2.size(); ++i)
        EXPECT_NEAR(b.sky_longwave_w_m2[i] / a.sky_longwave_w_m2[i], 1.154, 1e-9);
    EXPECT_EQ(make_surroundings({}, measured).sky_longwave_w_m2[0], 345.6);
}

/// Under conditions that do not change the ground's face ends where the film balance equals
/// conduction to the deep ground: found here by bisection on that one equation.
TEST(Surroundings, SteadyGroundSolvesItsBalance) {
    Site site;
    site.ground_albedo = 0.4;
    Weather w = weather_of(24 * 200, steady, 300);
    w.longwave_down_w_m2.assign(w.size(), 320);
    const Surroundings s = make_surroundings(site, w);
    const OutsideFace face = outside_face(0, 0.95);
    const FaceConditions around{.absorbed_w_m2 = 0.6 * 300,
                                .longwave_in_w_m2 = 320,
                                .air_c = 30,
                                .forced_w_m2k = s.forced_unknown_w_m2k[0]};
    double low = 0, high = 100;
    for (int i = 0; i < 60; ++i) {
        const double mid = (low + high) / 2;
        // Dry sand, 1.5 m deep, to the deep face at the mean air temperature.
        const double sand_w_mk = find_material("dry sand")->conductivity_w_mk;
        const double net =
            net_heat_w_m2(face, s.convection, around, mid) - (mid - 30) * sand_w_mk / 1.5;
        (net > 0 ? low : high) = mid;
    }
    EXPECT_NEAR(s.ground_c.back(), low, 0.01);
    EXPECT_GT(s.ground_c.back(), 31);
}

/// Bare dry ground in full desert sun runs far hotter than the air by day and cooler at night
/// (common practice: 55 to 75 C at noon).
TEST(Surroundings, SunlitSandIsHotByDay) {
    Weather w = weather_of(24 * 10, daily, 0);
    for (std::size_t h = 0; h < w.size(); ++h) {
        const double day_hour = static_cast<double>(h % 24) + 0.5;
        w.global_w_m2[h] = 1000 * std::max(0.0, std::sin(std::numbers::pi * (day_hour - 6) / 12));
    }
    Site site;
    site.ground_albedo = 0.35;
    const Surroundings s = make_surroundings(site, w);
    const auto hottest = *std::max_element(s.ground_c.begin(), s.ground_c.end());
    const auto coolest = *std::min_element(s.ground_c.begin(), s.ground_c.end());
    EXPECT_GT(hottest, 55);
    EXPECT_LT(hottest, 75);
    EXPECT_LT(coolest, 22);
    site.ground_albedo = 0.1;
    const Surroundings dark = make_surroundings(site, w);
    EXPECT_GT(*std::max_element(dark.ground_c.begin(), dark.ground_c.end()), hottest + 3);
}

}  // namespace
}  // namespace noonshell
