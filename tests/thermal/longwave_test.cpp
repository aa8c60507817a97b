#include "thermal/longwave.hpp"

#include <gtest/gtest.h>

namespace noonshell {
namespace {

// [berdahl1984] without its hour and pressure terms (6 h, 1000 hPa), derived from the formula.
TEST(Longwave, ClearSkyFollowsBerdahlAndMartin) {
    const struct {
        double air_c, dew_c, emissivity, sky_c;
    } rows[] = {{40, 10, 0.7743, 20.60},
                {45, 5, 0.7408, 22.01},
                {30, 15, 0.8114, 14.57},
                {25, 0, 0.7110, 0.63}};
    for (const auto& row : rows) {
        const double e = clear_sky_emissivity(row.dew_c, 6, 100000);
        EXPECT_NEAR(e, row.emissivity, 0.00006);
        EXPECT_NEAR(sky_temperature_c(sky_longwave_w_m2(row.air_c, e)), row.sky_c, 0.0051);
    }
}

TEST(Longwave, ClearSkyHourAndPressureTerms) {
    const double base = clear_sky_emissivity(10, 6, 100000);
    EXPECT_NEAR(clear_sky_emissivity(10, 0, 100000) - base, 0.013, 1e-12);
    EXPECT_NEAR(clear_sky_emissivity(10, 12, 100000) - base, -0.013, 1e-12);
    EXPECT_NEAR(clear_sky_emissivity(10, 24, 100000) - base, 0.013, 1e-12);
    EXPECT_NEAR(clear_sky_emissivity(10, 6, 85000) - base, -0.018, 1e-12);
}

TEST(Longwave, ClearSkyStaysPossible) {
    EXPECT_LE(clear_sky_emissivity(45, 0, 101325), 1);
    double last = 0;
    for (double dew = -60; dew <= 45; dew += 1) {
        const double e = clear_sky_emissivity(dew, 6, 101325);
        EXPECT_GT(e, 0.5);
        EXPECT_GE(e, last) << "drier air cannot be the brighter sky";
        last = e;
    }
}

// [clark1978] by hand at five and ten tenths (from memory): 1 + 0.112 - 0.0875 + 0.035 and
// 1 + 0.224 - 0.35 + 0.28. More cloud never sends less, and nothing sends more than a black body.
TEST(Longwave, CloudsWarmTheSky) {
    EXPECT_EQ(cloudy_sky_emissivity(0.8, 0), 0.8);
    EXPECT_NEAR(cloudy_sky_emissivity(0.8, 0.5) / 0.8, 1.0595, 1e-12);
    EXPECT_NEAR(cloudy_sky_emissivity(0.8, 1) / 0.8, 1.154, 1e-12);
    EXPECT_EQ(cloudy_sky_emissivity(0.95, 1), 1);
    for (double cover = 0.05; cover <= 1; cover += 0.05)
        EXPECT_GT(cloudy_sky_emissivity(0.7, cover), cloudy_sky_emissivity(0.7, cover - 0.05));
}

// A level face that sees only sky loses about 63 W/m2 more than it gets ([ashrae2021] ch. 18, after
// Bliss 1961): the two must be of one size at 30 C and a dew point of 15 C.
TEST(Longwave, LevelFaceLosesTheHandbooksSixtyThreeWatts) {
    const double loss =
        sky_longwave_w_m2(30, 1) - sky_longwave_w_m2(30, clear_sky_emissivity(15, 12, 101325));
    EXPECT_NEAR(loss, 63, 0.7 * 63);
    EXPECT_GT(loss, 63);  // the shortcut stands for humid summers with some cloud
}

// Printed effective emittances, [ashrae2021] ch. 26 table 2.
TEST(Longwave, ParallelPlates) {
    EXPECT_NEAR(plates_effective_emittance(0.9, 0.9), 0.82, 0.0051);
    EXPECT_NEAR(plates_effective_emittance(0.9, 0.25), 0.24, 0.0051);
    EXPECT_NEAR(plates_effective_emittance(0.9, 0.05), 0.05, 0.0051);
    EXPECT_EQ(plates_effective_emittance(0, 0.9), 0);
    EXPECT_EQ(plates_effective_emittance(1, 1), 1);
}

TEST(Longwave, BlackBodyAtFreezing) {
    // sigma T^4 at 273.15 K, 315.66 W/m2.
    EXPECT_NEAR(sky_longwave_w_m2(0, 1), 315.66, 0.01);
    EXPECT_NEAR(sky_temperature_c(sky_longwave_w_m2(-20, 1)), -20, 1e-10);
}

}  // namespace
}  // namespace noonshell
