#include "thermal/heat_stress.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "solar/humidity.hpp"
#include "thermal/room_moisture.hpp"

namespace noonshell {
namespace {

constexpr double sea_pa = 101325;

double humidity(double air_c, double percent, double pressure_pa = sea_pa) {
    return saturated_humidity_kg_kg(dew_point_c(air_c, percent), pressure_pa);
}

// ASHRAE Handbook Fundamentals ch. 1, the chapter's worked example (from memory): dry bulb 40 C,
// wet bulb 20 C, sea level: 6.5 g/kg of vapour, dew point 7 C, 14 % relative humidity.
TEST(HeatStress, WetBulbOfTheHandbookExample) {
    EXPECT_NEAR(wet_bulb_c(40, 0.0065, sea_pa), 20.0, 0.1);
}

// Stull (2011), Wet-bulb temperature from relative humidity and air temperature, J. Appl. Meteorol.
// Climatol. 50, 2267: a fit at sea level, by the paper 0.65 K too low to 1 K too high at worst and
// within 0.3 K in the mean; 20 C and 50 % give 13.7 C (the paper's own example).
double stull_c(double t, double rh) {
    return t * std::atan(0.151977 * std::sqrt(rh + 8.313659)) + std::atan(t + rh) -
           std::atan(rh - 1.676331) + 0.00391838 * std::pow(rh, 1.5) * std::atan(0.023101 * rh) -
           4.686035;
}

TEST(HeatStress, WetBulbAgreesWithAPublishedFit) {
    EXPECT_NEAR(stull_c(20, 50), 13.7, 0.05);
    double sum = 0;
    int n = 0;
    for (const double t : {10.0, 15.0, 20.0, 30.0, 40.0}) {
        for (const double rh : {20.0, 40.0, 60.0, 80.0, 95.0}) {
            const double fit_too_high = stull_c(t, rh) - wet_bulb_c(t, humidity(t, rh), sea_pa);
            EXPECT_GT(fit_too_high, -0.65) << t << ' ' << rh;
            EXPECT_LT(fit_too_high, 1.0) << t << ' ' << rh;
            sum += std::abs(fit_too_high);
            ++n;
        }
    }
    EXPECT_LT(sum / n, 0.35);
    EXPECT_NEAR(wet_bulb_c(30, humidity(30, 100), sea_pa), 30, 1e-3);
}

// At saturation and with walls as warm as the air every thermometer reads the air; a hot roof or
// moister air raises the index, by 0.3 of the globe's rise.
TEST(HeatStress, LimitsAndSlopes) {
    EXPECT_NEAR(wet_bulb_globe_c(30, 30, humidity(30, 100), sea_pa), 30, 1e-3);
    const double dry = wet_bulb_globe_c(38, 38, humidity(38, 15), sea_pa);
    EXPECT_NEAR(wet_bulb_globe_c(38, 42, humidity(38, 15), sea_pa), dry + 0.3 * 4, 1e-9);
    EXPECT_GT(wet_bulb_globe_c(38, 38, humidity(38, 40), sea_pa), dry + 4);
    EXPECT_LT(dry, 38);
}

TEST(HeatStress, CountsTheHoursAboveTheLimit) {
    Response run;
    run.n_hours = 4;
    run.n_units = 2;
    run.air_c = {20, 29, 20, 31, 20, 35, 20, 33};
    run.operative_c = run.air_c;
    for (const float air : run.air_c)
        run.humidity_kg_kg.push_back(static_cast<float>(humidity(static_cast<double>(air), 100)));
    const std::vector<double> pressure(4, sea_pa);
    const HeatStress hot = heat_stress(run, 1, pressure);
    EXPECT_EQ(hot.hours_above_h, 3);
    EXPECT_EQ(hot.peak_hour, 2u);
    EXPECT_NEAR(hot.peak_c, 35, 1e-2);
    EXPECT_EQ(heat_stress(run, 0, pressure).hours_above_h, 0);
}

}  // namespace
}  // namespace noonshell
