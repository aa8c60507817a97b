// A cooling unit of limited capacity: its curves, the room that it cannot hold, and the capacity
// that would have held it.
#include "thermal/cooling_plant.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// Rating points T1 (35 C) and T3 (46 C) of [iso5151], from memory; a good tenth less capacity and
/// a quarter less efficiency in the hot one: common practice.
TEST(CoolingPlant, LosesCapacityAndEfficiencyInTheHeat) {
    const CoolingPlant plant{.rated_capacity_w = 5000, .rated_efficiency = 3.2};
    EXPECT_DOUBLE_EQ(plant.capacity_w(35), 5000);
    EXPECT_DOUBLE_EQ(plant.efficiency(35), 3.2);
    EXPECT_NEAR(plant.capacity_w(46), 0.89 * 5000, 1e-9);
    EXPECT_NEAR(plant.efficiency(46), 0.758 * 3.2, 1e-9);
    EXPECT_GT(plant.efficiency(27), plant.efficiency(35));
    EXPECT_DOUBLE_EQ(plant.capacity_w(10), plant.capacity_w(25));
    EXPECT_NEAR(plant.capacity_w(25), 1.10 * 5000, 1e-9);
    EXPECT_NEAR(plant.capacity_w(500), 0.2 * 5000, 1e-9);
    EXPECT_FALSE(CoolingPlant{}.is_limited());
    EXPECT_TRUE(plant.is_limited());
}

/// Electricity is heat over the efficiency of its own hour: between the sums at the best and the
/// worst outdoor air of the period, and nearer the worst, for the load comes with the heat.
TEST(CoolingPlant, ElectricityGoesByTheHoursOwnEfficiency) {
    Row row;
    for (RoomSettings& room : row.building.rooms) room.heated = false;
    const Response with = simulate(row.inputs(), row.building);
    const CoolingPlant plant;
    double hottest_c = -100, mean_c = 0;
    for (const double air_c : row.around.air_c) {
        hottest_c = std::max(hottest_c, air_c);
        mean_c += air_c / static_cast<double>(row.around.air_c.size());
    }
    for (std::size_t u = 0; u < 3; ++u) {
        const double efficiency = with.cooling_j[u] / with.cooling_electricity_j[u];
        EXPECT_GT(efficiency, plant.efficiency(hottest_c));
        EXPECT_LT(efficiency, plant.efficiency(mean_c));
        EXPECT_EQ(with.hours_not_met_h[u], 0) << "an ideal plant meets every hour";
    }
}

/// The capacity that an ideal run asks for meets every hour; less than that does not, and takes out
/// no more than it can; the room's balance closes all the same.
TEST(CoolingPlant, TheNeededCapacityIsJustEnough) {
    const auto run = [](double share) {
        Row row;
        const Response ideal = simulate(row.inputs(), row.building);
        for (std::size_t u = 0; u < 3; ++u) {
            row.building.rooms[u].plant.rated_capacity_w = share * ideal.needed_capacity_w[u].value;
        }
        return std::pair(simulate(row.inputs(), row.building), row);
    };
    const auto [enough, row] = run(1.0 + 1e-9);
    const auto [short_of, poor_row] = run(0.8);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_EQ(enough.hours_not_met_h[u], 0);
        EXPECT_GT(enough.needed_capacity_w[u].value, enough.peak_cooling_w[u].value);
        EXPECT_GT(short_of.hours_not_met_h[u], 0.5);
        EXPECT_LT(short_of.hours_not_met_h[u], 24);
        const CoolingPlant& plant = poor_row.building.rooms[u].plant;
        EXPECT_LE(short_of.peak_cooling_w[u].value, plant.capacity_w(25) * (1 + 1e-12));
        EXPECT_GT(short_of.peak_air_c[u].value,
                  poor_row.building.rooms[u].cooling_set_point_c + Response::not_met_k);
    }
    EXPECT_LT(short_of.heat_residual(), 1e-6);
}

}  // namespace
}  // namespace noonshell
