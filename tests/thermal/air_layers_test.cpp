#include "thermal/air_layers.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace noonshell {
namespace {

// [iso6946]:2007 table 2 (values from memory), emittances 0.9, printed to 0.01.
TEST(AirLayers, FollowTheStandardsTable) {
    const double mm[] = {5, 7, 10, 15, 25, 50, 100, 300};
    const double up[] = {0.11, 0.13, 0.15, 0.16, 0.16, 0.16, 0.16, 0.16};
    const double level[] = {0.11, 0.13, 0.15, 0.17, 0.18, 0.18, 0.18, 0.18};
    const double down[] = {0.11, 0.13, 0.15, 0.17, 0.19, 0.21, 0.22, 0.23};
    for (int i = 0; i < 8; ++i) {
        const double d = mm[i] / 1000;
        EXPECT_NEAR(still_air_layer_m2k_w(d, HeatFlow::up, 0.9, 0.9), up[i], 0.00501) << mm[i];
        EXPECT_NEAR(still_air_layer_m2k_w(d, HeatFlow::horizontal, 0.9, 0.9), level[i], 0.00501)
            << mm[i];
        EXPECT_NEAR(still_air_layer_m2k_w(d, HeatFlow::down, 0.9, 0.9), down[i], 0.00501) << mm[i];
    }
    // A published calculation with the same clause: 35 mm under a floor.
    EXPECT_NEAR(still_air_layer_m2k_w(0.035, HeatFlow::down, 0.9, 0.9), 0.203, 0.0006);
}

// The table above rounds too coarsely to tell 1.25 from 1.40: the coefficients that it comes from,
// [iso6946] annex D (from memory).
TEST(AirLayers, CoefficientsAreTheStandards) {
    const double d = 0.1;  // conduction 0.25 lies below all
    EXPECT_DOUBLE_EQ(still_air_convection_w_m2k(d, HeatFlow::up, 5), 1.95);
    EXPECT_DOUBLE_EQ(still_air_convection_w_m2k(d, HeatFlow::horizontal, 5), 1.25);
    EXPECT_NEAR(still_air_convection_w_m2k(d, HeatFlow::down, 5), 0.12 * 2.7542, 1e-5);
    EXPECT_NEAR(still_air_convection_w_m2k(d, HeatFlow::up, 8), 1.14 * 2, 1e-12);
    EXPECT_NEAR(still_air_convection_w_m2k(d, HeatFlow::horizontal, 8), 0.73 * 2, 1e-12);
    EXPECT_NEAR(still_air_convection_w_m2k(d, HeatFlow::down, 8), 0.09 * 1.47529 * 2.7542, 1e-5);
}

// Beyond 5 K the standard's second set of values takes over where the first one ends.
TEST(AirLayers, ConvectionGrowsWithoutAJump) {
    for (const HeatFlow flow : {HeatFlow::up, HeatFlow::horizontal, HeatFlow::down}) {
        const double below = still_air_convection_w_m2k(0.05, flow, 5.0);
        const double above = still_air_convection_w_m2k(0.05, flow, 5.0001);
        EXPECT_NEAR(above, below, 0.015 * below);
        EXPECT_GT(still_air_convection_w_m2k(0.05, flow, 30), above);
        EXPECT_EQ(still_air_convection_w_m2k(0.05, flow, -30),
                  still_air_convection_w_m2k(0.05, flow, 30));
        EXPECT_DOUBLE_EQ(still_air_convection_w_m2k(0.001, flow, 5), 25.0);  // conduction alone
    }
}

// Radiation of a black face at 10 C: 5.15 W/(m2 K) after [iso6946].
TEST(AirLayers, BlackRadiation) {
    EXPECT_NEAR(black_radiation_w_m2k(10), 5.15, 0.0051);
    EXPECT_NEAR(black_radiation_w_m2k(0), 4.6, 0.051);
}

// [iso6946]: the resistances are 1/(hc + hr) of its annex C with emittance 0.9 at 20 C.
TEST(AirLayers, InsideFilmsAgreeWithTheirParts) {
    for (const HeatFlow flow : {HeatFlow::up, HeatFlow::horizontal, HeatFlow::down}) {
        EXPECT_NEAR(1 / (inside_convection_w_m2k(flow) + 0.9 * black_radiation_w_m2k(20)),
                    inside_surface_resistance_m2k_w(flow), 0.0051);
    }
    EXPECT_EQ(inside_surface_resistance_m2k_w(HeatFlow::up), 0.10);
    EXPECT_EQ(inside_surface_resistance_m2k_w(HeatFlow::horizontal), 0.13);
    EXPECT_EQ(inside_surface_resistance_m2k_w(HeatFlow::down), 0.17);
}

// [iso6946] annex C table (from memory), printed to 0.01.
TEST(AirLayers, OutsideFilmByWind) {
    const double wind[] = {1, 2, 3, 4, 5, 7, 10};
    const double printed[] = {0.08, 0.06, 0.05, 0.04, 0.04, 0.03, 0.02};
    for (int i = 0; i < 7; ++i)
        EXPECT_NEAR(outside_surface_resistance_m2k_w(wind[i]), printed[i], 0.00501) << wind[i];
}

// [iso6946] 6.9, derived example: 900 mm2, 2.50 and 2.20 give 2.38.
TEST(AirLayers, SlightlyVentilatedLiesBetween) {
    EXPECT_NEAR(slightly_ventilated_m2k_w(900, 2.50, 2.20), 2.38, 1e-12);
    EXPECT_EQ(slightly_ventilated_m2k_w(0, 2.50, 2.20), 2.50);
    EXPECT_EQ(slightly_ventilated_m2k_w(500, 2.50, 2.20), 2.50);
    EXPECT_EQ(slightly_ventilated_m2k_w(1500, 2.50, 2.20), 2.20);
    EXPECT_EQ(slightly_ventilated_m2k_w(9000, 2.50, 2.20), 2.20);
}

}  // namespace
}  // namespace noonshell
