// Clean dry air.
#include "solar/clean_air.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"

namespace noonshell {
namespace {

/// Elevation [deg] at which the relative air mass is `m`, by halving.
double elevation_of(double m) {
    double low = 0, high = 90;
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        (relative_air_mass(middle) > m ? low : high) = middle;
    }
    return low;
}

// The factor 0.8662 was chosen so that the new depth meets that of Kasten (1980), 1 / (9.4 + 0.9
// m), at an air mass of 2; both from memory of [kasten1996].
TEST(CleanAir, MeetsTheOlderFormulaAtAnAirMassOfTwo) {
    EXPECT_NEAR(clean_air_depth(elevation_of(2), 0), 2 / (9.4 + 0.9 * 2), 1e-4);
}

// The two branches of [kasten1996] meet at an air mass of 20.
TEST(CleanAir, BranchesMeet) {
    EXPECT_NEAR(clean_air_depth(elevation_of(19.99), 0) / clean_air_depth(elevation_of(20.01), 0),
                1, 2e-3);
}

// Clearest measured beams: some 1100 W/m2 at high stations with the sun high. Clean dry air must be
// above them, and below the sun outside the air.
TEST(CleanAir, LiesAboveWhatIsMeasured) {
    EXPECT_GT(clean_air_beam_w_m2(60, 1367, 0), 1050);
    EXPECT_GT(clean_air_beam_w_m2(60, 1367, 3400), 1150);
    EXPECT_LT(clean_air_beam_w_m2(90, 1367, 4000), 1300);
    EXPECT_GT(clean_air_beam_w_m2(10, 1367, 0), 800);
}

TEST(CleanAir, HoursLieBetweenTheirSuns) {
    Site site;
    site.latitude_deg = 25;
    site.longitude_deg = 45;
    site.utc_offset_h = 3;
    const Weather day = design_day_weather(site, {}, 2023);
    const std::vector<double> most = most_beam_w_m2(site, day);
    const HourSines sines = hour_sines(site, day);
    ASSERT_EQ(most.size(), 24u);
    EXPECT_EQ(most[0], 0);
    const double outside = extraterrestrial_normal_w_m2(202);
    for (std::size_t h = 0; h < 24; ++h) {
        if (sines.while_up[h] < 0.15) continue;
        const double elevation_deg = std::asin(sines.while_up[h]) * 57.29578;
        EXPECT_NEAR(most[h], clean_air_beam_w_m2(elevation_deg, outside, 0), 25) << h;
        EXPECT_GT(most[h], day.direct_normal_w_m2[h]) << h;
    }
}

}  // namespace
}  // namespace noonshell
