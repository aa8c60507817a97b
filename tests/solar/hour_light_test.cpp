// The light of an hour, and what an open tilted plane gets of it.
#include "solar/hour_light.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/exposure.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

/// A plane tilted toward the south, alone in an open field.
PlateEnvelope tilted(double tilt_deg) {
    const double tilt = tilt_deg * degree;
    PlateEnvelope plates;
    plates.add_plate("plane", Vec3(0, 0, 3), Vec3(2, 0, 0), Vec3(0, std::cos(tilt), std::sin(tilt)),
                     2, 2);
    return plates;
}

double sky_on(const PlateEnvelope& plates, const MadeSuns& suns, SkyModel model) {
    const RayScene scene(plates.envelope.blockers);
    const auto sunlight = trace_sunlight(plates.envelope, scene, suns.path, suns.weather);
    const auto exchange = trace_exchange(plates.envelope, scene);
    return expose(plates.envelope, {}, suns.weather, suns.path, sunlight, exchange,
                  std::vector<double>{0.0}, {.sky = model})
        .sky_w_m2[0];
}

// An even sky on a tilted plane: DHI (1 + cos tilt) / 2 (Liu and Jordan 1960).
TEST(HourLight, AnEvenSkyOnATiltedPlane) {
    const MadeSuns suns = one_sun(200, 50, 800, 120);
    for (const double tilt_deg : {0.0, 20.0, 55.0, 90.0, 130.0}) {
        EXPECT_NEAR(sky_on(tilted(tilt_deg), suns, SkyModel::even),
                    120 * (1 + std::cos(tilt_deg * degree)) / 2, 1e-6)
            << tilt_deg;
    }
}

/// [perez1990] by hand, coefficients of table 6 in seven digits (from memory; the table's three
/// digits are printed), for the one bin that the case below falls in: clearness 4.5 to 6.2.
double perez_by_hand(double direct, double diffuse, double elevation_deg, double azimuth_deg,
                     double tilt_deg, double extraterrestrial) {
    const double zenith = (90 - elevation_deg) * degree;
    const double clearness = ((diffuse + direct) / diffuse + 1.041 * std::pow(zenith, 3)) /
                             (1 + 1.041 * std::pow(zenith, 3));
    EXPECT_GT(clearness, 4.5);
    EXPECT_LT(clearness, 6.2);
    const double mass =  // Kasten and Young 1989
        1 /
        (std::sin(elevation_deg * degree) + 0.50572 * std::pow(6.07995 + elevation_deg, -1.6364));
    const double brightness = diffuse * mass / extraterrestrial;
    const double f1 = 1.0601591 - 1.5999137 * brightness - 0.3589221 * zenith;
    const double f2 = 0.2642124 - 1.1272340 * brightness + 0.1310694 * zenith;
    const double tilt = tilt_deg * degree;
    const double a = std::cos(zenith) * std::cos(tilt) +
                     std::sin(zenith) * std::sin(tilt) * std::cos((azimuth_deg - 180) * degree);
    return diffuse * ((1 - f1) * (1 + std::cos(tilt)) / 2 +
                      f1 * std::max(0.0, a) / std::cos(zenith) + f2 * std::sin(tilt));
}

TEST(HourLight, AnAnisotropicSkyOnATiltedPlaneByHand) {
    const double direct = 820, diffuse = 130;
    // 1 January: 1367 (1 + 0.033 cos(360 (1 - 3) / 365)), HOF21 ch. 14 eq. (4).
    const double outside = 1367 * (1 + 0.033 * std::cos(2 * std::numbers::pi * 2 / 365));
    for (const auto& [azimuth, elevation] : {std::pair{180.0, 40.0}, {215.0, 38.0}, {90.0, 45.0}}) {
        const MadeSuns suns = one_sun(azimuth, elevation, direct, diffuse);
        for (const double tilt_deg : {0.0, 30.0, 90.0}) {
            const double by_hand =
                perez_by_hand(direct, diffuse, elevation, azimuth, tilt_deg, outside);
            EXPECT_NEAR(sky_on(tilted(tilt_deg), suns, SkyModel::anisotropic), by_hand,
                        1e-4 * by_hand)
                << azimuth << ", " << elevation << ", tilt " << tilt_deg;
        }
    }
}

TEST(HourLight, OnlyHoursWithLightAreListed) {
    MadeSuns suns;
    suns.add_hour({}, 0, 0);   // night
    suns.add_hour({}, 0, 12);  // dawn without a step
    suns.add_hour({toward_sun(90, 10), toward_sun(91, 12)}, 300, 50);
    suns.add_hour({toward_sun(95, 20)}, 0, 0);    // sun up, no light measured
    suns.add_hour({toward_sun(100, 30)}, 0, 80);  // overcast
    suns.add_hour({}, 400, 0);                    // beam in the night
    const LitHours lit = lit_hours({}, suns.weather, suns.path);
    ASSERT_EQ(lit.hours.size(), 4u);
    EXPECT_EQ(lit.hours[0].hour, 1u);
    EXPECT_FALSE(lit.hours[0].sun_up);
    EXPECT_EQ(lit.hours[0].sky.dome_w_m2, 12);
    EXPECT_EQ(lit.hours[0].sky.circumsolar_w_m2, 0);
    EXPECT_EQ(lit.hours[1].hour, 2u);
    const double mean_sine = (std::sin(10 * degree) + std::sin(12 * degree)) / 2;
    EXPECT_NEAR(lit.hours[1].global_w_m2, 50 + 300 * mean_sine, 1e-9);
    EXPECT_EQ(lit.hours[2].hour, 4u);
    EXPECT_EQ(lit.hours[2].global_w_m2, 80);
    EXPECT_EQ(lit.hours[3].hour, 5u);
    EXPECT_EQ(lit.hours[3].direct_normal_w_m2, 0);
    EXPECT_EQ(lit.hours[3].global_w_m2, 0);
    ASSERT_EQ(lit.warnings.size(), 1u);
    EXPECT_EQ(lit.warnings[0].code, "beam-without-sun");
    // An even sky keeps all diffuse light in the dome.
    const LitHours even = lit_hours({}, suns.weather, suns.path, SkyModel::even);
    ASSERT_EQ(even.hours.size(), 4u);
    EXPECT_EQ(even.hours[1].sky.dome_w_m2, 50);
    EXPECT_EQ(even.hours[1].sky.circumsolar_w_m2, 0);
    EXPECT_EQ(even.hours[1].sky.horizon_w_m2, 0);
}

// A sunrise between two steps is no slip: 0.1 % of the beam is let through, more is told.
TEST(HourLight, BeamOfASunriseBetweenStepsIsNotTold) {
    for (const auto& [without, told] : {std::pair{0.99, 0u}, std::pair{1.02, 1u}}) {
        MadeSuns suns;
        suns.add_hour({}, without, 0);
        suns.add_hour({toward_sun(90, 10)}, 999, 0);
        EXPECT_EQ(lit_hours({}, suns.weather, suns.path).warnings.size(), told) << without;
    }
}

TEST(HourLight, BinsAreOneMoreThanTheLargest) {
    EXPECT_EQ(n_bins({}), 1u);
    EXPECT_EQ(n_bins(std::array<std::uint8_t, 3>{0, 0, 0}), 1u);
    EXPECT_EQ(n_bins(std::array<std::uint8_t, 3>{3, 11, 0}), 12u);
}

}  // namespace
}  // namespace noonshell
