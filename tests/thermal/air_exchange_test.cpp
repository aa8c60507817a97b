// Leaks by wind and warm air, and ventilation by the clock.
#include "thermal/air_exchange.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "geometry/diagnostics.hpp"
#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// [ashrae2021] ch. 16, worked example of the basic model (from memory): 500 cm2, 39 K, 6.7 m/s,
/// two storeys in shelter class 3 (0.000290, 0.000231): 0.0736 m3/s. Its coefficients are those of
/// another height, so the two terms are compared by their own.
TEST(AirLeakage, IsTheBasicModelOfTheHandbook) {
    const AirLeakage leaks{.leakage_area_cm2 = 500};
    const double stack_m3_s = leaks.flow_m3_s(340, 20, -19, 0);
    EXPECT_NEAR(stack_m3_s, 0.5 * std::sqrt(0.000145 * 39), 1e-12);
    // Two storeys lift twice as much: the example's stack term, 0.5 sqrt(0.000290 * 39).
    EXPECT_NEAR(stack_m3_s * std::sqrt(2.0), 0.0532, 1e-4);
    const double wind_m_s = 6.7;
    const double wind_m3_s = leaks.flow_m3_s(340, 20, 20, wind_m_s);
    EXPECT_NEAR(wind_m3_s, 0.5 * std::sqrt(0.000174) * wind_m_s, 1e-12);
    // Both together in quadrature, whatever the sign of the difference.
    const double both = std::hypot(stack_m3_s, wind_m3_s);
    EXPECT_NEAR(leaks.flow_m3_s(340, 20, -19, wind_m_s), both, 1e-12);
    EXPECT_NEAR(leaks.flow_m3_s(340, -19, 20, wind_m_s), both, 1e-12);
    const AirLeakage open{.leakage_area_cm2 = 500, .shelter_class = 1};
    EXPECT_NEAR(open.flow_m3_s(340, 20, 20, wind_m_s) / wind_m3_s, std::sqrt(0.000319 / 0.000174),
                1e-12);
}

TEST(AirLeakage, WithoutAnAreaItIsTheFixedChangeOfAir) {
    const AirLeakage leaks{.air_change_per_h = 0.9};
    EXPECT_NEAR(leaks.flow_m3_s(40, 50, 10, 12), 0.9 * 40 / 3600, 1e-15);
    EXPECT_THROW(wind_coefficient(0), InputError);
    EXPECT_THROW(wind_coefficient(6), InputError);
}

TEST(Ventilation, OpensOnlyWhereItCools) {
    const Ventilation night;
    EXPECT_EQ(night.wanted_share(30, 29), 0);  // less than 2 K cooler
    EXPECT_EQ(night.wanted_share(30, 35), 0);  // hotter outdoors
    EXPECT_EQ(night.wanted_share(30, 20), 1);
    EXPECT_EQ(night.wanted_share(21, 10), 0);  // cool enough
    EXPECT_NEAR(night.wanted_share(30, 27.5), 0.5, 1e-12);
    EXPECT_FALSE(night.is_used());
}

/// All of the outdoor air is counted, at the rate asked for; the room's balance closes.
TEST(Ventilation, CountsItsAir) {
    Row row;
    for (RoomSettings& room : row.building.rooms) {
        room.cooled = room.heated = false;
        room.leakage.air_change_per_h = 2;
    }
    const Response shut = simulate(row.inputs(), row.building);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_NEAR(shut.outdoor_air_m3[u], 2.0 * n_hours * row.envelope.units[u].volume_m3, 1e-6);
        EXPECT_EQ(shut.fan_electricity_j[u], 0);
    }
    for (RoomSettings& room : row.building.rooms) {
        // Far above all limits: open all night.
        room.ventilation.coolest_room_c = -20;
        room.ventilation.least_difference_k = 0;
        room.ventilation.fan_w_per_m3_s = 700;
        std::array<double, 24> night{};
        for (const std::size_t hour : {0, 1, 2, 3, 22, 23}) night[hour] = 10;
        room.ventilation.air_change_per_h = every_day(night);
    }
    const Response open = simulate(row.inputs(), row.building);
    for (std::size_t u = 0; u < 3; ++u) {
        const double volume_m3 = row.envelope.units[u].volume_m3;
        const double by_vent_m3 = open.outdoor_air_m3[u] - shut.outdoor_air_m3[u];
        EXPECT_LE(by_vent_m3, 10.0 * 12 * volume_m3 * (1 + 1e-12));
        EXPECT_GT(by_vent_m3, 5.0 * volume_m3);  // not while the sky has made the room cooler
        EXPECT_NEAR(open.fan_electricity_j[u], 700 * by_vent_m3, 1e-6 * 700 * by_vent_m3);
        EXPECT_LT(open.peak_air_c[u].value, shut.peak_air_c[u].value);
    }
    EXPECT_LT(open.heat_residual(), 1e-6);
}

/// Near its limits a room does not swing open and shut by turns: its air turns round by more than
/// 0.1 K a step no oftener than the days do.
TEST(Ventilation, DoesNotFlutter) {
    Row row;
    for (RoomSettings& room : row.building.rooms) {
        room.cooled = room.heated = false;
        room.ventilation.air_change_per_h.fill(20);
    }
    Trace trace;
    simulate(row.inputs(), row.building, {}, &trace);
    const auto air = [&](std::size_t step) {
        return static_cast<double>(trace.room_air_c[step * 3 + 1]);
    };
    int turns = 0;
    for (std::size_t i = 2; i < row.around.n_steps(); ++i) {
        const double before = air(i - 1) - air(i - 2), now = air(i) - air(i - 1);
        if (before * now < 0 && std::abs(now) > 0.1) ++turns;
    }
    EXPECT_LE(turns, 8) << "two days turn twice a day";
}

}  // namespace
}  // namespace noonshell
