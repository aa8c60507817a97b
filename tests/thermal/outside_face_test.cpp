// The linearised outside balance is the tangent of the exact one.
#include "thermal/outside_face.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace noonshell {
namespace {

const FaceConditions noon{
    .absorbed_w_m2 = 650, .longwave_in_w_m2 = 380, .air_c = 38, .forced_w_m2k = 6};

class OutsideFaceModels : public testing::TestWithParam<OutsideConvection> {};

TEST_P(OutsideFaceModels, LineTouchesTheCurve) {
    for (const double tilt : {0.0, 45.0, 90.0, 180.0}) {
        const OutsideFace face = outside_face(tilt, 0.9);
        for (const double at : {20.0, 37.0, 41.0, 75.0}) {
            const FaceLine line = linearise(face, GetParam(), noon, at);
            const double exact = net_heat_w_m2(face, GetParam(), noon, at);
            EXPECT_NEAR(line.q_w_m2 - line.h_w_m2k * at, exact, 1e-9);
            const double step = 1e-4;
            const double slope = (net_heat_w_m2(face, GetParam(), noon, at + step) -
                                  net_heat_w_m2(face, GetParam(), noon, at - step)) /
                                 (2 * step);
            EXPECT_NEAR(line.h_w_m2k, -slope, 1e-4);
        }
    }
}

/// Newton's method on the balance of a perfectly insulated face: the fourth iterate solves it.
TEST_P(OutsideFaceModels, NewtonSettlesWithinFourSteps) {
    const OutsideFace face = outside_face(0, 0.9);
    double at = noon.air_c;
    for (int i = 0; i < 4; ++i) {
        const FaceLine line = linearise(face, GetParam(), noon, at);
        at = line.q_w_m2 / line.h_w_m2k;
    }
    EXPECT_NEAR(net_heat_w_m2(face, GetParam(), noon, at), 0, 1e-6);
    EXPECT_GT(at, noon.air_c + 10);
}

INSTANTIATE_TEST_SUITE_P(All, OutsideFaceModels,
                         testing::Values(OutsideConvection::combined, OutsideConvection::iso_6946,
                                         OutsideConvection::mcadams));

TEST(OutsideFace, StillAirAtAirTemperatureHasNoConvection) {
    const OutsideFace face = outside_face(90, 0);
    const FaceConditions still{
        .absorbed_w_m2 = 0, .longwave_in_w_m2 = 0, .air_c = 30, .forced_w_m2k = 0};
    const FaceLine line = linearise(face, OutsideConvection::combined, still, 30);
    EXPECT_EQ(line.h_w_m2k, 0);
    EXPECT_EQ(line.q_w_m2, 0);
}

}  // namespace
}  // namespace noonshell
