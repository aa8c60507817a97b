// Walls that take months to settle: their steady flow and their yearly swing in closed form.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "tests/support/hand_building.hpp"
#include "thermal/cycle_extrapolation.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

const Layer foam_300{{"foam", 0.025, 30, 1400, "invented"}, 0.30, std::nullopt};
const Layer foam_150{{"foam", 0.025, 30, 1400, "invented"}, 0.15, std::nullopt};
const Layer concrete_2000{{"concrete", 2.0, 2400, 1000, "invented"}, 2.0, std::nullopt};
const Layer concrete_300{{"concrete", 2.0, 2400, 1000, "invented"}, 0.30, std::nullopt};

/// A box in the dark under a sky and over a ground as warm as the air.
struct DarkBox {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure light;
    Surroundings around;
    Building building;

    DarkBox(std::vector<Layer> layers, std::size_t n_hours,
            const std::function<double(double)>& air_c) {
        add_free_unit(envelope, "box", {6, 2.4, 2.6});
        exchange = free_exchange(envelope);
        light = exposure_of(envelope, n_hours, [](std::size_t, const Surface&) { return 0.0; });
        around = surroundings_of(n_hours, 3600, 10, air_c);
        Construction wall = sheet_of(0.1, 1, 1, 1);
        wall.layers = std::move(layers);
        building = bare_building(envelope, wall);
        building.rooms[0].furniture_j_m2k = 0;
    }
    Response run(const HeatOptions& options = {}) const {
        return simulate({envelope, exchange, light, around}, building, options);
    }
};

/// Two metres of concrete between foam, 35 C outside, 20 C inside. The core takes a year.
DarkBox core_between_foam() {
    DarkBox box({foam_300, concrete_2000, foam_300}, 24, [](double) { return 35.0; });
    RoomSettings& room = box.building.rooms[0];
    room.cooled = room.heated = true;
    room.cooling_set_point_c = room.heating_set_point_c = 20;
    return box;
}

// Through layers in steady state passes dT / sum R. Inside faces are as warm as each other, so that
// convection alone resists there, 2.5 at walls and 0.7 and 5 at roof and floor, 2.85 in the mean of
// these two ([iso6946]); outside 10 and 4 sigma T^3 e.
TEST(HeavyWalls, ShortPeriodsShowTheSteadyFlow) {
    const DarkBox box = core_between_foam();
    const Response run = box.run();
    const double level_m2 = 2 * 6 * 2.4, walls_m2 = 2 * (6 + 2.4) * 2.6;
    const double inside = (2.85 * level_m2 + 2.5 * walls_m2) / (level_m2 + walls_m2);
    const double outside = 10 + 0.9 * 4 * 5.670374419e-8 * std::pow(35 + 273.15, 3);
    const double by_hand_w = (level_m2 + walls_m2) * 15 / (12 + 1 + 12 + 1 / inside + 1 / outside);
    EXPECT_NEAR(run.cooling_j[0] / 86400, by_hand_w, 0.002 * by_hand_w);
    EXPECT_EQ(run.heating_j[0], 0);
    EXPECT_TRUE(run.warnings.empty());
}

TEST(HeavyWalls, DriftThatIsLeftIsTold) {
    const DarkBox box = core_between_foam();
    HeatOptions few;
    few.most_repeats = 6;
    const Response run = box.run(few);
    ASSERT_EQ(run.warnings.size(), 1u);
    EXPECT_EQ(run.warnings[0].code, "start-not-settled");
}

/// Concrete indoors behind foam, outdoors 20 - 10 cos(w t) over the year: a room without losses
/// but through its walls follows as a capacity C behind a resistance R.
DarkBox year_of_concrete() {
    return DarkBox({foam_150, concrete_300}, 8760, [](double hour) {
        return 20 - 10 * std::cos(2 * std::numbers::pi * hour / 8760);
    });
}

// T = 20 - 10 (cos wt + w tau sin wt) / (1 + (w tau)^2), tau = R C.
TEST(HeavyWalls, AYearBeginsWhereItEnds) {
    const DarkBox box = year_of_concrete();
    const double resistance = 0.15 / 0.025 + 0.04 + 0.5 * 0.30 / 2.0;
    const double w_tau = 2 * std::numbers::pi / (8760 * 3600) * resistance * 0.30 * 2400 * 1000;
    for (const bool in_halves : {false, true}) {
        HeatOptions options;
        options.in_halves = in_halves;
        const Response run = box.run(options);
        EXPECT_TRUE(run.warnings.empty());
        EXPECT_LT(run.worst_change_k, 0.5);
        double sum_c = 0;
        for (const float c : run.air_c) sum_c += static_cast<double>(c);
        EXPECT_NEAR(sum_c / 8760, 20, 0.05);
        for (const std::size_t hour : {12u, 2190u, 4380u, 6570u}) {
            const double wt = 2 * std::numbers::pi * static_cast<double>(hour) / 8760;
            EXPECT_NEAR(static_cast<double>(run.air_c[hour]),
                        20 - 10 * (std::cos(wt) + w_tau * std::sin(wt)) / (1 + w_tau * w_tau), 0.2)
                << hour;
        }
    }
    HeatOptions once;
    once.most_passes = 1;
    const Response unsettled = box.run(once);
    ASSERT_EQ(unsettled.warnings.size(), 1u);
    EXPECT_EQ(unsettled.warnings[0].code, "start-not-settled");
    EXPECT_GT(unsettled.worst_change_k, 2);
}

// Two metres of concrete indoors: two years to settle, more than passes alone would reach.
TEST(HeavyWalls, AYearOfVerySlowWallsSettlesToo) {
    const DarkBox box({foam_300, concrete_2000}, 8760, [](double hour) {
        return 20 - 10 * std::cos(2 * std::numbers::pi * hour / 8760);
    });
    const Response run = box.run();
    EXPECT_TRUE(run.warnings.empty());
    double sum_c = 0;
    for (const float c : run.air_c) sum_c += static_cast<double>(c);
    EXPECT_NEAR(sum_c / 8760, 20, 0.3);
}

// x -> limit + sum a_k lambda_k^n v_k: three slow modes need four differences, one needs two.
TEST(CycleExtrapolation, FindsTheLimitOfLinearCycles) {
    const std::vector<double> limit{21, 25, -3, 40};
    const auto state = [&limit](int n, int modes) {
        const double lambda[] = {0.99, 0.9, 0.5};
        const double direction[3][4] = {{3, 1, -2, 0.5}, {0, 2, 1, -1}, {1, -1, 1, 1}};
        std::vector<double> x = limit;
        for (int k = 0; k < modes; ++k) {
            for (std::size_t i = 0; i < x.size(); ++i)
                x[i] += std::pow(lambda[k], n) * direction[k][i];
        }
        return x;
    };
    for (const int modes : {1, 3}) {
        std::vector<std::vector<double>> states;
        for (int n = 0; n < modes + 2; ++n) states.push_back(state(n, modes));
        const std::vector<double> found = extrapolated_c(states);
        for (std::size_t i = 0; i < limit.size(); ++i) EXPECT_NEAR(found[i], limit[i], 1e-2);
    }
    // One mode: what is left is its distance.
    EXPECT_NEAR(left_to_settle_k(state(0, 1), state(1, 1), state(2, 1)), 3 * 0.99 * 0.99, 1e-6);
    EXPECT_EQ(left_to_settle_k(limit, limit, limit), 0);
    EXPECT_EQ(extrapolated_c(std::vector<std::vector<double>>{limit, limit}), limit);
    EXPECT_EQ(extrapolated_c(std::vector<std::vector<double>>{limit, limit, limit}), limit);
}

}  // namespace
}  // namespace noonshell
