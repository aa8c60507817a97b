// A plant with a limit, step by step: heat and vapour together never pass it, and what it gives is
// neither lost nor made.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "tests/support/row_of_units.hpp"
#include "thermal/heat_run.hpp"
#include "thermal/room_moisture.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// The row in humid air with people in it, by plants of a share of what it asks for.
Row humid_row(double share, double step_s = 600) {
    Row row(step_s);
    row.around.humidity_kg_kg.assign(n_hours, 0.018);
    for (RoomSettings& room : row.building.rooms) room.moisture_kg_hm2.fill(0.02);
    const Response ideal = simulate(row.inputs(), row.building);
    for (std::size_t u = 0; u < 3; ++u)
        row.building.rooms[u].plant.rated_capacity_w = share * ideal.needed_capacity_w[u].value;
    return row;
}

struct StepsSeen {
    std::size_t at_limit = 0;
    double most_over = 0;     // of any step, share of the capacity
    double least_used = 1e9;  // the same of rooms left too warm
    double most_latent = 0;
};

StepsSeen steps_of(const Row& row) {
    const HeatInputs inputs = row.inputs();
    HeatRun run(inputs, row.building, {}, nullptr, nullptr, nullptr);
    StepsSeen seen;
    // The two days again and again: the first ones begin with rooms far too warm.
    for (int day = 0; day < 5; ++day) {
        for (std::size_t step = 0; step < row.around.n_steps(); ++step) {
            run.advance(step, false);
            for (std::size_t u = 0; u < 3; ++u) {
                const RoomSettings& set = row.building.rooms[u];
                const double cooling_w = -run.rooms()[u].plant_w;
                if (cooling_w <= 0) continue;
                const double capacity_w = set.plant.capacity_w(row.around.air_c[step]);
                const double latent_w = run.air().moisture(u).latent_w;
                const double used = (cooling_w + latent_w) / capacity_w;
                seen.most_over = std::max(seen.most_over, used - 1);
                seen.most_latent = std::max(seen.most_latent, latent_w / capacity_w);
                if (run.rooms()[u].air_c > set.cooling_set_point_c + 0.01) {
                    ++seen.at_limit;
                    seen.least_used = std::min(seen.least_used, used);
                }
            }
        }
    }
    return seen;
}

TEST(PlantLimitSteps, HeatAndVapourTogetherNeverPassIt) {
    for (const double step_s : {600.0, 1800.0}) {
        for (const double share : {0.4, 0.7, 0.95}) {
            const StepsSeen seen = steps_of(humid_row(share, step_s));
            const std::string which = std::to_string(share) + " " + std::to_string(step_s);
            EXPECT_LE(seen.most_over, 1e-9) << which;
            EXPECT_GT(seen.at_limit, 10u) << which;
            EXPECT_GT(seen.most_latent, 0.05) << which << ": else the test shows nothing";
            // And a room that is too warm gets all that there is.
            EXPECT_GT(seen.least_used, 1 - 1e-3) << which;
        }
    }
}

TEST(PlantLimitSteps, TheBalancesClose) {
    const Row row = humid_row(0.6);
    const Response run = simulate(row.inputs(), row.building);
    EXPECT_LT(run.heat_residual(), 1e-6);
    EXPECT_EQ(run.steps_not_settled, 0u);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_GT(run.at_limit_h[u], 1);
        EXPECT_GT(run.latent_j[u], 0);
        // Largest load over what the plant keeps of its rating: the rating itself.
        EXPECT_NEAR(run.needed_capacity_w[u].value, row.building.rooms[u].plant.rated_capacity_w,
                    1e-4 * run.needed_capacity_w[u].value);
        EXPECT_LE(run.needed_capacity_w[u].value,
                  row.building.rooms[u].plant.rated_capacity_w * (1 + 1e-9));
    }
}

MoistureStep moist_step() {
    return {.step_s = 600,
            .air_kg = 60,
            .inflow_kg_s = 0.02,
            .inflow_humidity_kg_kg = 0.018,
            .gain_kg_s = 0.15 / 3600,
            .most_w = 3000,
            .air_c = 28};
}

/// Found by the quadratic, seen by the step itself.
TEST(PlantLimitSteps, TheSensiblePartIsThatWithWhichAllIsGiven) {
    for (const double humidity : {0.006, 0.010, 0.016, 0.024}) {
        for (const double most_w : {5.0, 800.0, 3000.0, 40000.0}) {
            MoistureStep step = moist_step();
            step.most_w = most_w;
            step.cooling_w = most_sensible_w(humidity, step, 11);
            MoistureStep without_limit = step;
            without_limit.most_w = std::numeric_limits<double>::infinity();
            const RoomMoisture room = advance_moisture(humidity, without_limit, 11);
            EXPECT_NEAR(step.cooling_w + room.latent_w, most_w, 1e-9 * most_w);
        }
    }
    MoistureStep dry = moist_step();
    dry.inflow_humidity_kg_kg = dry.gain_kg_s = 0;
    EXPECT_EQ(most_sensible_w(0.004, dry, 11), 3000);
    MoistureStep cold = moist_step();
    cold.air_c = 10;
    EXPECT_EQ(most_sensible_w(0.016, cold, 11), 3000);
}

/// Vapour in, less that taken out, is what the room holds more: 2.501 MJ/kg, as the handbook's
/// enthalpy has it, [ashrae2021] ch. 1.
TEST(PlantLimitSteps, VapourThatIsNotTakenOutStaysInTheRoom) {
    const double before = 0.016;
    const double most_w = most_sensible_w(before, moist_step(), 11);
    for (const double share : {0.8, 0.99, 1.01, 1.1}) {
        MoistureStep step = moist_step();
        step.cooling_w = share * most_w;
        const RoomMoisture room = advance_moisture(before, step, 11);
        const double after = room.humidity_kg_kg;
        EXPECT_LE(step.cooling_w + room.latent_w, 3000 * (1 + 1e-12));
        const double held_kg_s = step.air_kg / step.step_s * (after - before);
        const double brought_kg_s = step.inflow_kg_s * (0.018 - after) + step.gain_kg_s;
        EXPECT_NEAR(held_kg_s, brought_kg_s - room.latent_w / 2.501e6, 1e-12);
        EXPECT_EQ(room.held_back, share > 1) << share;
    }
}

}  // namespace
}  // namespace noonshell
