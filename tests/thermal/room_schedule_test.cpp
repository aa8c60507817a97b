// Set-points and fresh air by the hour.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "tests/support/row_of_units.hpp"
#include "thermal/handbook_day.hpp"

namespace noonshell {
namespace {

using namespace test_models;

std::array<double, 24> by_day(double night, double day) {
    std::array<double, 24> hours{};
    for (std::size_t h = 0; h < hours.size(); ++h) hours[h] = h >= 8 && h < 18 ? day : night;
    return hours;
}

Response run_with(const std::optional<WeekHours>& cooling, double always = 26) {
    Row row;
    for (RoomSettings& room : row.building.rooms) {
        room.cooling_set_point_c = always;
        room.cooling_set_points_c = cooling;
    }
    return simulate(row.inputs(), row.building);
}

TEST(RoomSchedule, TheSameAllHoursIsOneSetPoint) {
    const Response one = run_with(std::nullopt), hours = run_with(every_day(by_day(26, 26)));
    EXPECT_EQ(one.cooling_j, hours.cooling_j);
    EXPECT_EQ(one.air_c, hours.air_c);
}

/// The plant without a limit holds each hour's own set-point from its end on and never passes the
/// even change toward it; what it takes out lies between what either set-point alone asks for.
TEST(RoomSchedule, RoomsFollowTheirSetPoints) {
    const Response hours = run_with(every_day(by_day(31, 26)));
    const Response low = run_with(std::nullopt, 26), high = run_with(std::nullopt, 31);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_LT(hours.cooling_j[u], low.cooling_j[u]);
        EXPECT_GT(hours.cooling_j[u], high.cooling_j[u]);
        double warmest_night = 0;
        for (std::size_t h = 0; h < n_hours; ++h) {
            const double air_c = static_cast<double>(hours.air_c[h * 3 + u]);
            const std::size_t of_day = h % 24;
            const double most_c = of_day > 8 && of_day < 18 ? 26 : 31;
            EXPECT_LE(air_c, most_c + 1e-4) << h;
            if (of_day == 8) {
                EXPECT_LT(air_c, 0.5 * (31 + 26) + 0.5);
            }
            if (of_day > 18) warmest_night = std::max(warmest_night, air_c);
        }
        EXPECT_GT(warmest_night, 27);
    }
}

Response off_at_night(double night_c, double step_s = 600) {
    Row row(step_s);
    for (RoomSettings& room : row.building.rooms)
        room.cooling_set_points_c = every_day(by_day(night_c, 25));
    return simulate(row.inputs(), row.building);
}

/// What stands for off decides over nothing: no room comes near 50 C.
TEST(RoomSchedule, APlantThatComesOnTakesAnHourWhateverStoodForOff) {
    const Response at_50 = off_at_night(50), at_90 = off_at_night(90);
    const Response finely = off_at_night(50, 60);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_NEAR(at_90.cooling_j[u], at_50.cooling_j[u], 2e-3 * at_50.cooling_j[u]);
        EXPECT_NEAR(at_90.needed_capacity_w[u].value, at_50.needed_capacity_w[u].value,
                    2e-3 * at_50.needed_capacity_w[u].value);
        // Nor do the steps, but for the bends of the hour's ends.
        EXPECT_NEAR(finely.needed_capacity_w[u].value, at_50.needed_capacity_w[u].value,
                    0.06 * at_50.needed_capacity_w[u].value);
    }
}

TEST(RoomSchedule, AWayThatAsksForMoreBeginsWhereTheRoomIs) {
    WeekHours week{};
    week.fill(60);
    week[8] = 26;
    EXPECT_EQ(set_point_c(week, 8, 0.5, 32, false), 29);
    EXPECT_EQ(set_point_c(week, 8, 1, 32, false), 26);
    EXPECT_EQ(set_point_c(week, 8, 0.5, 24, false), 26);  // nothing to take off
    EXPECT_EQ(set_point_c(week, 9, 0.5, 26, false), 43);  // asks for less: even
    week.fill(-30);
    week[8] = 20;
    EXPECT_EQ(set_point_c(week, 8, 0.5, 10, true), 15);
    EXPECT_EQ(set_point_c(week, 8, 0.5, 23, true), 20);
}

/// In a room held at one temperature around the clock fresh air adds its own heat to the cooling
/// and nothing else: volume, heat capacity of air, outdoor less room temperature, hour by hour.
TEST(RoomSchedule, FreshAirIsCooledToTheRoom) {
    Row row;
    for (RoomSettings& room : row.building.rooms) {
        room.cooling_set_point_c = 15;  // below all outdoor air: cooled at every step
        room.heating_set_point_c = 10;
        room.gains_w_m2.fill(60);
    }
    const Response before = simulate(row.inputs(), row.building);
    for (RoomSettings& room : row.building.rooms) {
        room.ventilation.fresh_air_per_h = every_day(by_day(0.5, 3));
        room.ventilation.fresh_air_fan_w_per_m3_s = 1000;
    }
    const Response after = simulate(row.inputs(), row.building);
    const Surroundings& around = row.around;
    for (std::size_t u = 0; u < 3; ++u) {
        double heat_j = 0, air_m3 = 0;
        for (std::size_t step = 0; step < n_hours * around.steps_per_hour; ++step) {
            const std::size_t hour = step / around.steps_per_hour, of_day = hour % 24;
            const double m3_s =
                (of_day >= 8 && of_day < 18 ? 3 : 0.5) * row.envelope.units[u].volume_m3 / 3600;
            heat_j +=
                m3_s * around.air_heat_j_m3k[hour] * (around.air_c[step] - 15) * around.step_s;
            air_m3 += m3_s * around.step_s;
        }
        EXPECT_NEAR(after.cooling_j[u] - before.cooling_j[u], heat_j, 1e-6 * after.cooling_j[u]);
        EXPECT_NEAR(after.room_balance[u].ventilation_j, heat_j, 1e-9 * heat_j);
        EXPECT_NEAR(after.fan_electricity_j[u], 1000 * air_m3, 1e-9 * 1000 * air_m3);
        EXPECT_EQ(before.fan_electricity_j[u], 0);
    }
}

TEST(RoomSchedule, ChangesAreEvenOverTheHour) {
    WeekHours week{};
    week.fill(20);
    week[0] = 26;
    EXPECT_EQ(even_change(week, 0, 0.5), 23);  // Sunday's last hour goes before Monday's first
    EXPECT_EQ(even_change(week, 0, 1), 26);
    EXPECT_EQ(even_change(week, 1, 0.25), 24.5);
    EXPECT_EQ(lowest_hours(week)[24], 20);
}

}  // namespace
}  // namespace noonshell
