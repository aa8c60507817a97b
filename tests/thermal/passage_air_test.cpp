// Air between plates close before each other: the duct against plane Poiseuille flow, Blasius'
// friction and the heat exchanger of one stream, and what it does to two sheets in the sun.
#include "thermal/passage_air.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "solar/close_by.hpp"
#include "solar/ray_scene.hpp"
#include "tests/support/hand_building.hpp"
#include "tests/support/plate_envelope.hpp"
#include "thermal/passages.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr double length_m = 4, air_nu_m2_s = 1.7e-5;

// Plane Poiseuille flow: dp = 12 mu L v / b^2, here with dp = 1.5 rho v0^2 / 2 and no other loss.
TEST(PassageAir, CreepsThroughANarrowGapAsPoiseuilleHasIt) {
    for (const double b_m : {0.0005, 0.001}) {
        const double v = passage_speed_m_s({b_m, length_m}, 1);
        EXPECT_NEAR(v / (0.75 * b_m * b_m / (12 * air_nu_m2_s * length_m)), 1, 0.01) << b_m;
    }
}

// [incropera] ch. 8: 0.316 Re^(-1/4) in smooth ducts, by the hydraulic diameter of 2 b.
TEST(PassageAir, TurbulentFlowLosesWhatBlasiusHas) {
    for (const double b_m : {0.06, 0.1, 0.3}) {
        const double v = passage_speed_m_s({b_m, length_m}, 4);
        const double f = 0.316 * std::pow(2 * b_m * v / air_nu_m2_s, -0.25);
        EXPECT_NEAR((1.5 + f * length_m / (2 * b_m)) * v * v / (1.5 * 16), 1, 1e-6) << b_m;
    }
    EXPECT_NEAR(passage_speed_m_s({0.06, length_m}, 4) / 4, 0.77, 0.03);
}

TEST(PassageAir, SpeedGrowsWithTheClearanceToThatOfTheOpen) {
    for (const double open_m_s : {0.5, 3.0, 10.0}) {
        double last = 0;
        for (const double b_m : {1e-5, 0.001, 0.01, 0.06, 0.2, 0.7, 1.5, 20.0}) {
            const double v = passage_speed_m_s({b_m, length_m}, open_m_s);
            EXPECT_GT(v, last);
            EXPECT_LE(v, open_m_s);
            last = v;
        }
        EXPECT_NEAR(last / open_m_s, 1, 0.001);
        EXPECT_GT(passage_speed_m_s({1.5, length_m}, open_m_s), 0.985 * open_m_s);
        EXPECT_LT(passage_speed_m_s({1e-5, length_m}, open_m_s), 1e-5 * open_m_s);
    }
    EXPECT_EQ(passage_speed_m_s({0.1, length_m}, 0), 0);
}

// The air's way between plates of one temperature in small steps; what the plates give is what it
// takes.
TEST(PassageAir, MeanOfTheAirAndWhatItTakesAgree) {
    for (const double n : {1e-4, 0.3, 2.0, 20.0}) {
        const double h = 5, flow = 2 * h / n;  // plates 10 K above the open air
        double air_k = 0, mean_k = 0;
        constexpr int steps = 20000;
        for (int i = 0; i < steps; ++i) {
            const double next = air_k + (10 - air_k) * -std::expm1(-n / steps);
            mean_k += 0.5 * (air_k + next) / steps;
            air_k = next;
        }
        const double found_k = 10 - 10 * share_of_open_air(h, flow);
        EXPECT_NEAR(found_k, mean_k, 1e-4) << n;
        EXPECT_NEAR(2 * h * (10 - found_k), flow * air_k, 1e-6 * flow * air_k + 1e-9) << n;
    }
    EXPECT_EQ(share_of_open_air(5, 0), 0);
    EXPECT_NEAR(share_of_open_air(5, 1e9), 1, 1e-7);
}

// Half the area in, half out: 0.2 sqrt(9.81 * 0.5 * 10 / 300) = 0.081 m/s.
TEST(PassageAir, WarmthMovesItAsThroughADoorway) {
    EXPECT_NEAR(lifted_speed_m_s({0.5, length_m}, 10, 300 - 273.15), 0.0809, 0.0005);
}

/// A sheet over another, 4 m x 4 m, in air of 35 C; sun on the upper one, no longwave.
struct TwoSheets {
    PlateEnvelope made;
    ExchangeMatrix exchange;
    Exposure light;
    Surroundings around;
    Building building;
    SurfaceId upper, upper_below, lower, lower_below;

    TwoSheets(double clearance_m, double wind_m_s, bool with_passage = true) {
        lower = made.add_sheet("lower", {0, 0, 2}, {4, 0, 0}, {0, 4, 0}, 8, 8);
        upper = made.add_sheet("upper", {0, 0, 2 + clearance_m}, {4, 0, 0}, {0, 4, 0}, 8, 8);
        lower_below = made.envelope.surfaces[lower.index()].other_side;
        upper_below = made.envelope.surfaces[upper.index()].other_side;
        for (Surface& s : made.envelope.surfaces) s.kind = SurfaceKind::shade;
        exchange = free_exchange(made.envelope);
        if (with_passage)
            exchange.close_by = find_close_by(made.envelope, RayScene(made.envelope.blockers));
        light = exposure_of(made.envelope, 24, [](std::size_t, const Surface& s) {
            return s.id == "upper" ? 700.0 : 0.0;
        });
        around = surroundings_of(24, 600, 0, [](double) { return 35.0; });
        around.wind_m_s.assign(24, wind_m_s);
        around.forced_unknown_w_m2k.assign(
            24, forced_convection_w_m2k(around.convection, wind_m_s, WindSide::unknown));
        Construction sheet = bare_roof();
        sheet.outside_absorptance = 1;
        sheet.outside_emittance = 0;
        building = bare_building(made.envelope, sheet);
    }

    HeatInputs inputs() const { return {made.envelope, exchange, light, around}; }
    Response run(Trace* trace = nullptr) const { return simulate(inputs(), building, {}, trace); }
};

TEST(PassageAir, AWidePassageIsTheOpen) {
    for (const double wind_m_s : {1.0, 4.0}) {
        const Response open = TwoSheets(1.45, wind_m_s, false).run();
        const TwoSheets wide(1.45, wind_m_s);
        ASSERT_TRUE(passage_before(wide.made.envelope, wide.exchange, wide.lower));
        const Response r = wide.run();
        const double above_k = open.mean_outside_c[wide.upper.index()] - 35;
        EXPECT_NEAR((r.mean_outside_c[wide.upper.index()] - 35) / above_k, 1, 0.02) << wind_m_s;
        EXPECT_NEAR(r.mean_outside_c[wide.lower.index()] - 35, 0, 0.03 * above_k) << wind_m_s;
    }
}

// Still air of 1 mm conducts 27 W/(m2 K) to the lower sheet, which free convection alone cools:
// 0.60 dT^(4/3) below ([ashrae2021] ch. 4). The upper one's top loses the rest, 1.81 dT^(4/3).
TEST(PassageAir, WithoutClearanceItIsAClosedGap) {
    const TwoSheets closed(0.001, 0);
    const Response r = closed.run();
    const double upper_k = r.mean_outside_c[closed.upper.index()] - 35;
    const double lower_k = r.mean_outside_c[closed.lower.index()] - 35;
    const double below_w_m2 = natural_coefficient(180, true) * std::pow(lower_k, 4.0 / 3);
    EXPECT_NEAR(27 * (upper_k - lower_k), below_w_m2, 0.02 * below_w_m2);
    EXPECT_NEAR(natural_coefficient(0, true) * std::pow(upper_k, 4.0 / 3) + below_w_m2, 700, 4);
    EXPECT_LT(r.outside_residual, 1e-6);
}

/// The nearer the shade, the hotter it and what lies under it.
TEST(PassageAir, LessClearanceIsHotter) {
    for (const double wind_m_s : {0.0, 1.0, 5.0}) {
        double upper_c = 1e3, lower_c = 1e3;
        for (const double clearance_m : {0.06, 0.1, 0.2, 0.4, 0.76, 1.4}) {
            const TwoSheets sheets(clearance_m, wind_m_s);
            const Response r = sheets.run();
            EXPECT_LT(r.mean_outside_c[sheets.upper.index()], upper_c) << clearance_m;
            EXPECT_LT(r.mean_outside_c[sheets.lower.index()], lower_c) << clearance_m;
            upper_c = r.mean_outside_c[sheets.upper.index()];
            lower_c = r.mean_outside_c[sheets.lower.index()];
        }
    }
}

/// In a part run the other sheet is as it was in the whole one.
TEST(PassageAir, PartRunsKnowTheOtherPlate) {
    const TwoSheets sheets(0.1, 2);
    Trace trace;
    const Response whole = sheets.run(&trace);
    ActivePart part{{}, std::vector<std::uint8_t>(4, 0)};
    part.surfaces[sheets.lower.index()] = part.surfaces[sheets.lower_below.index()] = 1;
    const Response found = simulate_part(sheets.inputs(), sheets.building, {}, part, trace, {});
    ASSERT_GT(whole.mean_outside_c[sheets.lower.index()], 36);
    EXPECT_NEAR(found.mean_outside_c[sheets.lower.index()],
                whole.mean_outside_c[sheets.lower.index()], 1e-3);
}

}  // namespace
}  // namespace noonshell
