#include "solar/humidity.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace noonshell {
namespace {

/// [ashrae2021] ch. 1 eq. (6), over liquid water (coefficients from memory).
double handbook_saturation_pa(double dry_bulb_c) {
    const double t = dry_bulb_c + 273.15;
    return std::exp(-5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t * t -
                    1.4452093e-8 * t * t * t + 6.5459673 * std::log(t));
}

TEST(Humidity, SaturationIsThatOfTheHandbook) {
    EXPECT_NEAR(saturation_pressure_pa(0), 611.2, 1);     // [ashrae2021] ch. 1 table 3, value
    EXPECT_NEAR(saturation_pressure_pa(20), 2338.8, 9);   // from memory
    EXPECT_NEAR(saturation_pressure_pa(40), 7383.8, 30);  // likewise
    for (double t = 0; t <= 50; t += 5)
        EXPECT_NEAR(saturation_pressure_pa(t) / handbook_saturation_pa(t), 1, 0.004) << t;
}

TEST(Humidity, DewPointIsWhereTheVapourSaturates) {
    for (const double t : {-15.0, 5.0, 25.0, 48.0})
        for (const double rh : {3.0, 20.0, 50.0, 95.0})
            EXPECT_NEAR(saturation_pressure_pa(dew_point_c(t, rh)),
                        rh / 100 * saturation_pressure_pa(t), 1e-9 * saturation_pressure_pa(t));
}

// Any psychrometric chart: 25 degC and 50 % have a dew point of 13.9 degC.
TEST(Humidity, DewPointOfTheChart) {
    EXPECT_NEAR(dew_point_c(25, 50), 13.9, 0.1);
    EXPECT_NEAR(dew_point_c(25, 100), 25, 1e-12);
}

TEST(Humidity, StaysFiniteInAirWithoutWater) {
    EXPECT_GT(dew_point_c(45, 0), -90);
    EXPECT_EQ(dew_point_c(45, 0), dew_point_c(45, 0.1));
    EXPECT_EQ(dew_point_c(45, 130), dew_point_c(45, 100));
}

}  // namespace
}  // namespace noonshell
