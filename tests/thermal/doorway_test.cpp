#include "thermal/doorway.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/row_of_units.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

// Second method: the pressure difference across the opening grows from nothing at its middle,
// dp = rho g z |dT| / T; the flow of the upper half, C W integral of sqrt(2 dp / rho) dz, summed
// strip by strip ([brown1962]'s derivation).
TEST(Doorway, FlowIsTheSumOverTheUpperHalf) {
    Doorway door;
    door.width_m = 1.1;
    door.height_m = 2.05;
    for (const double difference : {0.5, 4.0, 15.0}) {
        const double a = 30, b = a - difference, mean_k = (a + b) / 2 + 273.15;
        const double c = 0.40 + 0.0045 * difference;
        double flow = 0;
        const int n = 20000;
        for (int i = 0; i < n; ++i) {
            const double dz = door.height_m / 2 / n, z = (i + 0.5) * dz;
            flow += c * door.width_m * dz * std::sqrt(2 * 9.80665 * z * difference / mean_k);
        }
        EXPECT_NEAR(door.flow_m3_s(a, b, 1), flow, 1e-5 * flow);
        EXPECT_EQ(door.flow_m3_s(a, b, 1), door.flow_m3_s(b, a, 1));
        EXPECT_NEAR(door.flow_m3_s(a, b, 0.25), flow / 4, 1e-5 * flow);
    }
    EXPECT_EQ(door.flow_m3_s(25, 25, 1), 0);
}

/// Two units that share nothing but the doorway; the first alone has gains.
struct TwoRooms {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure exposure;
    Surroundings around;
    Building building;

    TwoRooms() {
        add_free_unit(envelope, "kitchen", {6, 2.4, 2.6});
        add_free_unit(envelope, "hall", {6, 2.4, 2.6});
        exchange = free_exchange(envelope);
        exposure = exposure_of(envelope, 96, [](std::size_t, const Surface&) { return 0.0; });
        around = surroundings_of(96, 600, 8, [](double) { return 20.0; });
        building = bare_building(envelope, sheet_of(0.05, 0.04, 30, 1000));
        for (RoomSettings& room : building.rooms) {
            room.cooled = room.heated = false;
            room.leakage.air_change_per_h = 0.5;
        }
        building.rooms[0].gains_w_m2.fill(30);
        building.rooms[0].moisture_kg_hm2.fill(0.02);
    }
    HeatInputs inputs() const { return {envelope, exchange, exposure, around}; }
};

// In the steady state the heat that comes through the door, rho c Q dT with the door's own flow,
// is what the second room loses; every joule of both rooms is accounted for.
TEST(Doorway, CarriesHeatAndVapourFromRoomToRoom) {
    TwoRooms two;
    const Response shut = simulate(two.inputs(), two.building);
    Doorway door;
    door.a = UnitId(0);
    door.b = UnitId(1);
    two.building.doorways = {door};
    const Response open = simulate(two.inputs(), two.building);
    const std::size_t last = open.n_hours - 1;
    const double kitchen = static_cast<double>(open.air_c[2 * last]);
    const double hall = static_cast<double>(open.air_c[2 * last + 1]);
    EXPECT_LT(kitchen, static_cast<double>(shut.air_c[2 * last]) - 1);
    EXPECT_GT(hall, static_cast<double>(shut.air_c[2 * last + 1]) + 1);
    EXPECT_GT(kitchen, hall);
    EXPECT_LT(open.heat_residual(), 1e-6);
    EXPECT_LT(open.heat_residual_of_a_day(), 1e-3);
    EXPECT_NEAR(open.room_balance[0].doorways_j, -open.room_balance[1].doorways_j, 1);
    const double w = door.flow_m3_s(kitchen, hall, 1) * two.around.air_heat_j_m3k[0];
    EXPECT_NEAR(open.room_balance[1].doorways_j / (96 * 3600), w * (kitchen - hall),
                0.01 * w * (kitchen - hall));
    // Vapour: none is lost on the way, so the rooms' humidities meet.
    EXPECT_GT(static_cast<double>(shut.humidity_kg_kg[2 * last]), 1e-3);
    EXPECT_NEAR(static_cast<double>(shut.humidity_kg_kg[2 * last + 1]), 0, 1e-9);
    EXPECT_GT(static_cast<double>(open.humidity_kg_kg[2 * last + 1]),
              0.3 * static_cast<double>(open.humidity_kg_kg[2 * last]));
    // By the mass of vapour: the kitchen gives off through its leaks and the door what it makes,
    // the hall through its leaks what the door brings; outdoors is dry.
    const double damp = static_cast<double>(open.humidity_kg_kg[2 * last]);
    const double less_damp = static_cast<double>(open.humidity_kg_kg[2 * last + 1]);
    const double kg_m3 = two.around.air_heat_j_m3k[0] / 1006;
    const double leak_m3_s = 0.5 * 6 * 2.4 * 2.6 / 3600,
                 through_m3_s = door.flow_m3_s(kitchen, hall, 1);
    const double made_kg_s = 0.02 * 6 * 2.4 / 3600;
    EXPECT_NEAR(kg_m3 * (leak_m3_s * damp + through_m3_s * (damp - less_damp)), made_kg_s,
                0.01 * made_kg_s);
    EXPECT_NEAR(kg_m3 * leak_m3_s * (damp + less_damp), made_kg_s, 0.01 * made_kg_s);
}

// A shut door is none; one that stands open for half its width by day only lies between.
TEST(Doorway, FollowsItsHours) {
    TwoRooms two;
    const Response none = simulate(two.inputs(), two.building);
    Doorway door;
    door.a = UnitId(1);
    door.b = UnitId(0);
    door.open_share.fill(0);
    two.building.doorways = {door};
    const Response shut = simulate(two.inputs(), two.building);
    EXPECT_EQ(shut.air_c, none.air_c);
    std::array<double, 24> day{};
    for (std::size_t h = 8; h < 18; ++h) day[h] = 0.5;
    two.building.doorways[0].open_share = every_day(day);
    const Response by_day = simulate(two.inputs(), two.building);
    EXPECT_LT(by_day.air_c[2 * 17], none.air_c[2 * 17] - 0.3f);
    EXPECT_GT(by_day.room_balance[1].doorways_j, 0);
}

}  // namespace
}  // namespace noonshell
