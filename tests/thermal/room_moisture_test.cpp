// Vapour of a room against the handbook's figures and the closed form of its steady state.
#include "thermal/room_moisture.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// Saturated air at sea level, [ashrae2021] ch. 1 table of moist air (from
/// memory): 3.79, 7.66, 14.76, 27.33 g/kg at 0, 10, 20, 30 C.
TEST(RoomMoisture, SaturatedAirOfTheHandbook) {
    EXPECT_NEAR(saturated_humidity_kg_kg(0, 101325), 0.00379, 0.00002);
    EXPECT_NEAR(saturated_humidity_kg_kg(10, 101325), 0.00766, 0.00004);
    EXPECT_NEAR(saturated_humidity_kg_kg(20, 101325), 0.01476, 0.00008);
    EXPECT_NEAR(saturated_humidity_kg_kg(30, 101325), 0.02733, 0.00016);
    EXPECT_GT(saturated_humidity_kg_kg(20, 85000), saturated_humidity_kg_kg(20, 101325) * 1.15);
}

/// A room of 12 kg of air in which 0.02 kg/s come in, and people give off 0.15 kg an hour.
MoistureStep humid_step() {
    return {.step_s = 600,
            .air_kg = 60,
            .inflow_kg_s = 0.02,
            .inflow_humidity_kg_kg = 0.018,
            .gain_kg_s = 0.15 / 3600,
            .cooling_w = 2500,
            .air_c = 26};
}

RoomMoisture steady(const MoistureStep& step, double coil_c) {
    RoomMoisture room{0.010, 0};
    for (int i = 0; i < 2000; ++i) room = advance_moisture(room.humidity_kg_kg, step, coil_c);
    return room;
}

/// Steady state by hand: (m_o w_o + g + k w_c) / (m_o + k), k the air past the coil; what the coil
/// takes out is what comes in.
TEST(RoomMoisture, SteadyStateByHand) {
    const MoistureStep step = humid_step();
    const RoomMoisture room = steady(step, 11);
    const double w = room.humidity_kg_kg, coil = saturated_humidity_kg_kg(11, 101325);
    const double k = 2500 / ((1006 + 1860 * w) * (26 - 11));
    EXPECT_NEAR(w, (0.02 * 0.018 + 0.15 / 3600 + k * coil) / (0.02 + k), 1e-12);
    const double brought_kg_s = 0.02 * (0.018 - w) + 0.15 / 3600;
    EXPECT_NEAR(room.latent_w, brought_kg_s * 2.501e6, 1e-6 * room.latent_w);
    // Sensible share of the load as room units have it in a humid climate: 0.65 to 0.85, common
    // practice.
    const double share = 2500 / (2500 + room.latent_w);
    EXPECT_GT(share, 0.65);
    EXPECT_LT(share, 0.85);
}

/// [ashrae2021] ch. 18, latent heat of outdoor air: 3.01 W per L/s and g/kg at 1.2 kg/m3, from
/// memory.
TEST(RoomMoisture, LatentHeatOfOutdoorAirByTheHandbooksFactor) {
    MoistureStep step = humid_step();
    step.gain_kg_s = 0;
    const RoomMoisture room = steady(step, 11);
    const double litres_s = 0.02 / 1.204 * 1000;
    const double grams_kg = 1000 * (0.018 - room.humidity_kg_kg);
    EXPECT_NEAR(room.latent_w, 3.01 * litres_s * grams_kg, 0.01 * room.latent_w);
}

TEST(RoomMoisture, DryAirIsNotDried) {
    MoistureStep step = humid_step();
    step.inflow_humidity_kg_kg = 0.004;
    step.gain_kg_s = 0;
    const RoomMoisture room = steady(step, 11);
    EXPECT_EQ(room.latent_w, 0);
    EXPECT_NEAR(room.humidity_kg_kg, 0.004, 1e-9);
    // A coil colder than its dew point takes some.
    EXPECT_GT(steady(step, -5).latent_w, 0);
}

TEST(RoomMoisture, NothingPassesSaturation) {
    MoistureStep step = humid_step();
    step.cooling_w = 0;
    step.air_c = 5;
    EXPECT_DOUBLE_EQ(steady(step, 11).humidity_kg_kg, saturated_humidity_kg_kg(5, 101325));
}

/// In the year of a whole building: humid air costs more to cool, needs a larger plant and wets
/// steel under a cold sky; dry air does none of it.
TEST(RoomMoisture, HumidAirAddsToLoadAndPlant) {
    Row row;
    const Response dry = simulate(row.inputs(), row.building);
    row.around.humidity_kg_kg.assign(n_hours, 0.018);  // dew point 23 C
    const Response humid = simulate(row.inputs(), row.building);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_EQ(dry.latent_j[u], 0);
        EXPECT_GT(humid.latent_j[u], 0.02 * humid.cooling_j[u]);
        EXPECT_DOUBLE_EQ(humid.cooling_j[u], dry.cooling_j[u]) << "vapour does not warm";
        EXPECT_GT(humid.needed_capacity_w[u].value, dry.needed_capacity_w[u].value);
        EXPECT_GT(humid.cooling_electricity_j[u], dry.cooling_electricity_j[u]);
    }
    double wet_h = 0;
    for (const double hours : dry.condensation_h) wet_h += hours;
    EXPECT_EQ(wet_h, 0);
    // At night the roof under a sky 18 K below the air falls below the dew point, floors do not.
    row.around.humidity_kg_kg.assign(n_hours, 0.0195);
    for (RoomSettings& room : row.building.rooms) room.cooled = room.heated = false;
    const Response free = simulate(row.inputs(), row.building);
    EXPECT_GT(free.condensation_h[0], 0.5);
    EXPECT_LT(free.condensation_h[0], 36);
}

}  // namespace
}  // namespace noonshell
