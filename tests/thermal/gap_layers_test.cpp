// Still air gaps as layers of a wall.
#include "thermal/gap_layers.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "thermal/treatment.hpp"

namespace noonshell {
namespace {

/// [iso6946] annex D by hand at 30 C: h_r = E 4 sigma T^3 with 1/E = 1/e + 1/0.9 - 1, and h_a of
/// the direction (1.25 across, 1.95 up, 0.12 d^-0.44 down; never below 0.025 / d; from memory).
double by_hand(double emittance, double convection_w_m2k) {
    const double radiation = 4 * 5.670374e-8 * std::pow(303.15, 3);
    return 1 / (convection_w_m2k + radiation / (1 / emittance + 1 / 0.9 - 1));
}

TEST(GapLayers, FollowTheStandardByDirectionAndEmittance) {
    constexpr double gap_m = 0.05;
    for (const double emittance : {0.9, 0.05}) {
        std::vector<Layer> layers{still_gap(gap_m, emittance)};
        EXPECT_NEAR(layers[0].resistance(), by_hand(emittance, 1.25), 1e-4);
        set_layer_resistances(layers, HeatFlow::up);
        EXPECT_NEAR(layers[0].resistance(), by_hand(emittance, 1.95), 1e-4);
        set_layer_resistances(layers, HeatFlow::down);
        EXPECT_NEAR(layers[0].resistance(),
                    by_hand(emittance, std::max(0.12 * std::pow(gap_m, -0.44), 0.025 / gap_m)),
                    1e-4);
        EXPECT_EQ(layers[0].heat_capacity_j_m2k(), 0);
    }
}

/// Battens through a gap behind a roof's sheet, worked by hand from the two limits of [iso6946]
/// 6.7.2: 12 % of timber beside 88 % of still air, heat downward.
TEST(GapLayers, BattensStandBesideTheAir) {
    Layer sheet, board;
    sheet.material = {"steel", 50, 7800, 450, ""};
    sheet.thickness_m = 0.002;
    board.material = {"board", 0.13, 600, 1700, ""};
    board.thickness_m = 0.012;
    std::vector<Layer> layers{sheet, still_gap(0.05, 0.9), board};
    layers[1].bridge = Bridge{{"timber", 0.13, 500, 1600, ""}, 0.12};
    set_layer_resistances(layers, HeatFlow::down);
    const double air = by_hand(0.9, std::max(0.12 * std::pow(0.05, -0.44), 0.025 / 0.05));
    const double timber = 0.05 / 0.13, plain = 0.17 + 0.04 + 0.002 / 50 + 0.012 / 0.13;
    const double upper = 1 / (0.12 / (plain + timber) + 0.88 / (plain + air));
    const double lower = plain + 1 / (0.12 / timber + 0.88 / air);
    EXPECT_NEAR(layers[1].resistance(), (upper + lower) / 2 - plain, 1e-4);
    EXPECT_GT(layers[1].resistance(), air);  // timber resists more than this gap
    EXPECT_EQ(layers[0].resistance(), 0.002 / 50);
}

TEST(GapLayers, OtherLayersStay) {
    Layer given;
    given.material.name = "membrane";
    given.resistance_m2k_w = 0.3;
    std::vector<Layer> layers{given, still_gap(0.02, 0.9)};
    set_layer_resistances(layers, HeatFlow::up);
    EXPECT_EQ(layers[0].resistance(), 0.3);
}

TEST(GapLayers, HeatGoesIntoTheRoom) {
    EXPECT_EQ(flow_into_room(0), HeatFlow::down);
    EXPECT_EQ(flow_into_room(30), HeatFlow::down);
    EXPECT_EQ(flow_into_room(90), HeatFlow::horizontal);
    EXPECT_EQ(flow_into_room(180), HeatFlow::up);
}

// What a treatment brings along stands in the same direction as the wall under it.
TEST(GapLayers, ATreatmentsGapTakesTheWallsDirection) {
    Construction roof = bare_roof();
    roof.gap_flow = HeatFlow::down;
    Treatment boards;
    boards.name = "boards on battens";
    boards.kind = TreatmentKind::outside_insulation;
    boards.added = {still_gap(0.05, 0.05)};
    EXPECT_NEAR(treated(roof, boards).layers.front().resistance(), by_hand(0.05, 0.025 / 0.05),
                1e-4);
}

}  // namespace
}  // namespace noonshell
