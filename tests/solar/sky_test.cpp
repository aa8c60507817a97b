#include "solar/sky.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "solar/clear_sky.hpp"

namespace noonshell {
namespace {

constexpr double deg = std::numbers::pi / 180.0;

double on_free_facet(const SkyLight& sky, double tilt_deg, double incidence_cosine) {
    return sky.dome_w_m2 * (1.0 + std::cos(tilt_deg * deg)) / 2.0 +
           sky.circumsolar_w_m2 * std::max(0.0, incidence_cosine) +
           sky.horizon_w_m2 * std::sin(tilt_deg * deg);
}

// [perez1990] table 6 as printed, to three decimals, with the lower edge of each bin.
struct PrintedRow {
    double from, to;
    double f11, f12, f13, f21, f22, f23;
};
constexpr double unbounded = std::numeric_limits<double>::infinity();
constexpr PrintedRow table_6[8] = {
    {1.000, 1.065, -0.008, 0.588, -0.062, -0.060, 0.072, -0.022},
    {1.065, 1.230, 0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
    {1.230, 1.500, 0.330, 0.487, -0.221, 0.055, -0.064, -0.026},
    {1.500, 1.950, 0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
    {1.950, 2.800, 0.873, -0.392, -0.362, 0.226, -0.462, 0.001},
    {2.800, 4.500, 1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
    {4.500, 6.200, 1.060, -1.600, -0.359, 0.264, -1.127, 0.131},
    {6.200, unbounded, 0.678, -0.327, -0.250, 0.156, -1.377, 0.251},
};

struct Brightness {
    double f1, f2;
};

/// F1 and F2 taken back out of the result, for a diffuse irradiance of 100 W/m2.
Brightness brightness(double clearness, double delta, double zenith_deg) {
    const double z = zenith_deg * deg;
    const double diffuse = 100.0;
    const double direct = diffuse * (clearness - 1.0) * (1.0 + 1.041 * z * z * z);
    const SkyLight sky = perez_sky(direct, diffuse, zenith_deg, 1000.0, 10.0 * delta);
    return {1.0 - sky.dome_w_m2 / diffuse, sky.horizon_w_m2 / diffuse};
}

double middle_of(const PrintedRow& row) {
    return std::isinf(row.to) ? 9.0 : 0.5 * (row.from + row.to);
}

// Every coefficient, read from differences of results where F1 stays between its bounds 0 and 1.
TEST(Sky, CoefficientsRoundToThePrintedTable) {
    for (const PrintedRow& row : table_6) {
        SCOPED_TRACE(row.from);
        const double clearness = middle_of(row);
        const Brightness a = brightness(clearness, 0.20, 0.0);
        const Brightness b = brightness(clearness, 0.40, 0.0);
        const Brightness c = brightness(clearness, 0.20, 0.5 / deg);
        const double f12 = (b.f1 - a.f1) / 0.2;
        const double f22 = (b.f2 - a.f2) / 0.2;
        // Half a unit of the third decimal.
        EXPECT_NEAR(f12, row.f12, 0.0005001);
        EXPECT_NEAR(f22, row.f22, 0.0005001);
        EXPECT_NEAR((c.f1 - a.f1) / 0.5, row.f13, 0.0005001);
        EXPECT_NEAR((c.f2 - a.f2) / 0.5, row.f23, 0.0005001);
        EXPECT_NEAR(a.f1 - 0.2 * f12, row.f11, 0.0007);  // table 6 prints 1.132 for 1.1326
        EXPECT_NEAR(a.f2 - 0.2 * f22, row.f21, 0.0005001);
    }
}

// A lower edge belongs to the bin above it.
TEST(Sky, BinEdges) {
    for (std::size_t i = 1; i < 8; ++i) {
        const double edge = table_6[i].from;
        const Brightness at = brightness(edge * (1.0 + 1e-12), 0.2, 0.0);
        const Brightness above = brightness(edge + 1e-6, 0.2, 0.0);
        const Brightness below = brightness(edge - 1e-6, 0.2, 0.0);
        EXPECT_NEAR(at.f2, above.f2, 1e-9) << edge;
        EXPECT_GT(std::abs(at.f2 - below.f2), 1e-3) << edge;
    }
    // Exactly representable: at zenith 0 and a clearness of 1.5 the quotient has no rounding.
    EXPECT_EQ(perez_sky(50.0, 100.0, 0.0, 1000.0, 2.0).horizon_w_m2,
              perez_sky(50.001, 100.0, 0.0, 1000.0, 2.0).horizon_w_m2);
}

// On a horizontal facet cos incidence is cos Z, so that the three parts add up to DHI.
TEST(Sky, HorizontalFacetGetsAllDiffuse) {
    for (double zenith_deg = 0.0; zenith_deg < 85.0; zenith_deg += 2.4) {
        for (const double direct : {0.0, 5.0, 30.0, 80.0, 200.0, 500.0, 900.0}) {
            for (const double diffuse : {1.0, 40.0, 120.0, 400.0}) {
                const SkyLight sky = perez_sky(direct, diffuse, zenith_deg, 1367.0,
                                               relative_air_mass(90.0 - zenith_deg));
                EXPECT_NEAR(on_free_facet(sky, 0.0, std::cos(zenith_deg * deg)), diffuse,
                            1e-12 * diffuse);
            }
        }
    }
}

// States of the sky that can occur: beam below 0.85 of the one outside the air, diffuse below 0.8
// of the horizontal one. Walls toward and away from the sun get no negative light.
TEST(Sky, WallsGetNoNegativeLight) {
    for (double zenith_deg = 0.0; zenith_deg < 89.9; zenith_deg += 1.7) {
        const double cos_zenith = std::cos(zenith_deg * deg);
        const double air_mass = relative_air_mass(90.0 - zenith_deg);
        for (double clear = 0.0; clear <= 0.85; clear += 0.05) {
            for (double cloudy = 0.02; cloudy <= 0.8; cloudy += 0.06) {
                if (clear + cloudy > 1.0) continue;
                const SkyLight sky = perez_sky(1367.0 * clear, 1367.0 * cos_zenith * cloudy,
                                               zenith_deg, 1367.0, air_mass);
                EXPECT_GE(sky.dome_w_m2, 0.0);
                EXPECT_GE(sky.circumsolar_w_m2, 0.0);
                EXPECT_GE(on_free_facet(sky, 90.0, 0.0), 0.0)
                    << zenith_deg << " " << clear << " " << cloudy;
                EXPECT_GE(on_free_facet(sky, 90.0, std::sin(zenith_deg * deg)),
                          on_free_facet(sky, 90.0, 0.0));
            }
        }
    }
}

TEST(Sky, LowSunKeepsCircumsolarFinite) {
    // b stays at cos 85 deg below 5 deg of elevation.
    const double z = 89.0;
    const SkyLight sky = perez_sky(200.0, 50.0, z, 1367.0, relative_air_mass(90.0 - z));
    EXPECT_NEAR(sky.circumsolar_w_m2 * std::cos(85.0 * deg), 50.0 - sky.dome_w_m2, 1e-9);
    EXPECT_LT(on_free_facet(sky, 0.0, std::cos(z * deg)), 50.0);
}

TEST(Sky, SunBelowTheHorizonGivesAnEvenDome) {
    for (const double zenith_deg : {90.0, 95.0}) {
        const SkyLight sky = perez_sky(10.0, 20.0, zenith_deg, 1367.0, 38.0);
        EXPECT_EQ(sky.dome_w_m2, 20.0);
        EXPECT_EQ(sky.circumsolar_w_m2, 0.0);
        EXPECT_EQ(sky.horizon_w_m2, 0.0);
    }
}

TEST(Sky, VanishingDiffuse) {
    const SkyLight none = perez_sky(900.0, 0.0, 30.0, 1367.0, 1.15);
    EXPECT_EQ(none.dome_w_m2, 0.0);
    EXPECT_EQ(none.circumsolar_w_m2, 0.0);
    EXPECT_EQ(none.horizon_w_m2, 0.0);
    // Bin 8 at delta near 0, zenith 0: F1 0.678, F2 0.156. The clearness overflows and still
    // counts.
    for (const double diffuse : {1e-6, 1e-307}) {
        const SkyLight sky = perez_sky(900.0, diffuse, 0.0, 1367.0, 1.0);
        EXPECT_NEAR(sky.dome_w_m2 / diffuse, 1.0 - 0.678, 0.0006);
        EXPECT_NEAR(sky.horizon_w_m2 / diffuse, 0.156, 0.0006);
    }
}

TEST(Sky, OvercastIsNearlyEven) {
    const SkyLight sky = perez_sky(0.0, 150.0, 40.0, 1367.0, relative_air_mass(50.0));
    EXPECT_NEAR(on_free_facet(sky, 90.0, 0.0), 75.0, 15.0);  // an even dome gives half
}

// Values of the polynomial of [erbs1982], computed by hand to the digits shown.
TEST(Sky, ErbsFraction) {
    EXPECT_NEAR(erbs_diffuse_fraction(0.10), 0.9910, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.22), 0.9802, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.220001), 0.9799, 5e-5);  // the step is the paper's own
    EXPECT_NEAR(erbs_diffuse_fraction(0.30), 0.9486, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.445), 0.7662, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.50), 0.6591, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.60), 0.4395, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.70), 0.2440, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.75), 0.1831, 5e-5);
    EXPECT_NEAR(erbs_diffuse_fraction(0.80), 0.1653, 5e-5);
    EXPECT_DOUBLE_EQ(erbs_diffuse_fraction(0.9), 0.165);
    EXPECT_DOUBLE_EQ(erbs_diffuse_fraction(0.0), 1.0);
    EXPECT_DOUBLE_EQ(erbs_diffuse_fraction(-0.1), 1.0);
}

}  // namespace
}  // namespace noonshell
