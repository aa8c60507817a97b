#include "solar/exposure.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "geometry/ground.hpp"
#include "solar/clear_sky.hpp"
#include "solar/sky.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/mixed_yard.hpp"
#include "tests/support/plate_envelope.hpp"
#include "tests/support/view_factors.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

/// Everything that expose wants for plates without treatment.
Exposure exposed(const PlateEnvelope& plates, const MadeSuns& suns, double reflectance = 0,
                 const Site& site = {}, unsigned threads = 0) {
    const RayScene scene(plates.envelope.blockers);
    const auto sunlight = trace_sunlight(plates.envelope, scene, suns.path, suns.weather);
    const auto exchange = trace_exchange(plates.envelope, scene);
    return expose(plates.envelope, site, suns.weather, suns.path, sunlight, exchange,
                  std::vector<double>(plates.envelope.surfaces.size(), reflectance),
                  {.threads = threads});
}

// [perez1990]: on a level plane the parts add up to the measured diffuse for Z < 85 deg.
TEST(Exposure, ALevelFreePlateTakesBeamAndAllDiffuse) {
    PlateEnvelope plates;
    plates.add_plate("roof", Vec3(0, 0, 3), Vec3(2, 0, 0), Vec3(0, 2, 0), 2, 2);
    MadeSuns suns;
    for (const double elevation : {6.0, 20.0, 45.0, 70.0}) {
        for (const double direct : {0.0, 300.0, 900.0}) {
            suns.add_hour({toward_sun(90, elevation - 1), toward_sun(120, elevation + 1)}, direct,
                          110);
        }
    }
    const auto exposure = exposed(plates, suns);
    for (std::size_t h = 0; h < exposure.n_hours; ++h) {
        const std::uint32_t b = suns.path.hour_begin[h];
        const double mean = 0.5 * (suns.path.direction[b].z() + suns.path.direction[b + 1].z());
        const std::size_t i = exposure.at(h, SurfaceId(std::size_t{0}));
        EXPECT_NEAR(exposure.direct_w_m2[i], suns.weather.direct_normal_w_m2[h] * mean, 1e-4);
        EXPECT_NEAR(exposure.sky_w_m2[i], 110, 1e-4);
        EXPECT_EQ(exposure.ground_w_m2[i], 0);
        EXPECT_EQ(exposure.bounced_w_m2[i], 0);
    }
}

// A free wall by the formulas themselves: [perez1990] eq (9), ground albedo GHI (1 - cos tilt) / 2.
TEST(Exposure, AFreeWallByTheFormulas) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);  // faces south
    const MadeSuns suns = one_sun(210, 35, 800, 120);
    Site site;
    site.ground_albedo = 0.35;
    const auto exposure = exposed(plates, suns, 0, site);
    const double cosine = std::cos(35 * degree) * std::cos(30 * degree);
    const auto sky =
        perez_sky(800, 120, 55, extraterrestrial_normal_w_m2(1), relative_air_mass(35));
    EXPECT_NEAR(exposure.direct_w_m2[0], 800 * cosine, 1e-4);
    EXPECT_NEAR(exposure.sky_w_m2[0],
                0.5 * sky.dome_w_m2 + cosine * sky.circumsolar_w_m2 + sky.horizon_w_m2, 1e-4);
    EXPECT_NEAR(exposure.ground_w_m2[0], 0.35 * (800 * std::sin(35 * degree) + 120) / 2, 1e-9);
}

TEST(Exposure, LightWithoutSunIsEvenAndBeamWithoutSunIsNamed) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);
    MadeSuns suns;
    suns.add_hour({}, 0, 40);
    suns.add_hour({}, 250, 30);
    suns.add_hour({}, 0, 0);
    suns.add_hour({toward_sun(180, 30)}, 600, 60);
    const auto exposure = exposed(plates, suns);
    EXPECT_NEAR(exposure.sky_w_m2[0], 20, 1e-9);
    EXPECT_NEAR(exposure.ground_w_m2[0], 0.2 * 40 / 2, 1e-9);
    const auto at = [&](std::size_t hour) { return exposure.at(hour, SurfaceId(0)); };
    EXPECT_EQ(exposure.direct_w_m2[at(1)], 0);
    EXPECT_NEAR(exposure.sky_w_m2[at(1)], 15, 1e-9);
    EXPECT_EQ(exposure.sky_w_m2[at(2)], 0);
    EXPECT_GT(exposure.direct_w_m2[at(3)], 500);
    ASSERT_EQ(exposure.warnings.size(), 1u);
    EXPECT_EQ(exposure.warnings[0].code, "beam-without-sun");
    EXPECT_NE(exposure.warnings[0].text.find("0.25 kWh/m2"), std::string::npos)
        << exposure.warnings[0].text;
}

TEST(Exposure, CoveredPartsCountAsDark) {
    const auto make = [](bool covered) {
        PlateEnvelope plates;
        plates.add_plate("wall", Vec3(0, 0, 0.5), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);
        plates.add_plate("yard", Vec3(-3, -9, 0.1), Vec3(8, 0, 0), Vec3(0, 8, 0), 8, 8);
        if (covered) {  // the left half, by something black that lies against it
            plates.envelope.facets.covered[0] = plates.envelope.facets.covered[1] = 1;
            plates.add_blocker(Vec3(0, -0.002, 0.5), Vec3(1, 0, 0), Vec3(0, 0, 2));
        }
        return plates;
    };
    const MadeSuns suns = one_sun(200, 40, 700, 100);
    const auto whole = exposed(make(false), suns, 0.5), half = exposed(make(true), suns, 0.5);
    EXPECT_NEAR(half.direct_w_m2[0], 0.5 * whole.direct_w_m2[0], 1e-4);
    EXPECT_NEAR(half.sky_w_m2[0], 0.5 * whole.sky_w_m2[0], 0.5);
    EXPECT_GT(whole.bounced_w_m2[0], 50);  // left and right see the yard alike
    EXPECT_NEAR(half.bounced_w_m2[0] / whole.bounced_w_m2[0], 0.5, 0.01);
}

// The yard in front of a wall as a surface of reflectance r lights it as much as ground of albedo r
// would, if it is large: an independent path through exchange and bounces.
TEST(Exposure, AWideYardBouncesLikeTheGround) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(-1, 0, 0), Vec3(2, 0, 0), Vec3(0, 0, 2), 4, 4);
    plates.add_plate("yard", Vec3(-400, -800, 0), Vec3(800, 0, 0), Vec3(0, 799.999, 0), 80, 80);
    plates.envelope.ground_z_m = -1;
    const MadeSuns suns = one_sun(180, 50, 800, 100);
    Site site;
    site.ground_albedo = 0;
    const RayScene scene(plates.envelope.blockers);
    const auto sunlight = trace_sunlight(plates.envelope, scene, suns.path, suns.weather);
    const auto exchange = trace_exchange(plates.envelope, scene);
    const std::vector<double> reflectance = {0.0, 0.4};
    const auto exposure =
        expose(plates.envelope, site, suns.weather, suns.path, sunlight, exchange, reflectance);
    const double global = 800 * std::sin(50 * degree) + 100;
    EXPECT_NEAR(exposure.bounced_w_m2[0] / (0.4 * global / 2), 1, 0.01);
    EXPECT_LT(exposure.solar_residual, 1e-6);
}

// Under a sun straight above, a floor on piers shades its own plan on the ground, of which it sees
// the share of opposed rectangles in closed form: that part is not lit, the rest is. A free wall on
// the sunny side sees lit ground only.
TEST(Exposure, GroundInTheShadeOfItsFloorIsNotLit) {
    const double a = 6, b = 2.4, pier = 0.3;
    PlateEnvelope plates;
    plates.envelope.ground_z_m = 0;
    plates.add_plate("floor", Vec3(0, 0, pier), Vec3(0, b, 0), Vec3(a, 0, 0), 6, 12);
    plates.add_plate("wall", Vec3(30, 0, pier), Vec3(4, 0, 0), Vec3(0, 0, 2), 4, 2);
    const Envelope envelope = with_ground(plates.envelope, {.reach_m = 4, .cell_m = 0.2}, 0.06);
    const RayScene scene(envelope.blockers);
    const MadeSuns suns = one_sun(180, 90, 800, 0);
    constexpr double part_m = 0.4;  // cells and parts end at the floor's rim
    const auto sunlight =
        trace_sunlight(envelope, scene, suns.path, suns.weather, {.part_size_m = part_m});
    const auto exchange = trace_exchange(envelope, scene, {.part_size_m = part_m});
    const auto exposure = expose(envelope, {}, suns.weather, suns.path, sunlight, exchange,
                                 std::vector<double>(envelope.surfaces.size(), 0.0));
    EXPECT_NEAR(exchange.surfaces.ground_share[0], 1, 1e-9);
    EXPECT_NEAR(exposure.sunlit_ground_share[0], 1 - view_factors::opposed(a, b, pier), 0.004);
    EXPECT_NEAR(exposure.sunlit_ground_share[1], 0.5, 0.002);
}

TEST(Exposure, AYearOfAYardBalancesAndRepeats) {
    const PlateEnvelope plates = mixed_yard();
    const MadeSuns suns = sun_year(24, 20);
    const auto one = exposed(plates, suns, 0.6, {}, 1), two = exposed(plates, suns, 0.6, {}, 2);
    EXPECT_LT(one.solar_residual, 1e-6);
    EXPECT_EQ(one.direct_w_m2, two.direct_w_m2);
    EXPECT_EQ(one.sky_w_m2, two.sky_w_m2);
    EXPECT_EQ(one.bounced_w_m2, two.bounced_w_m2);
    for (const auto* field :
         {&one.direct_w_m2, &one.sky_w_m2, &one.ground_w_m2, &one.bounced_w_m2}) {
        for (const double value : *field) ASSERT_TRUE(value >= 0 && std::isfinite(value));
    }
    // Hour by hour direct light adds up to the traced yearly sums of the facets.
    const auto sunlight = trace_sunlight(plates.envelope, RayScene(plates.envelope.blockers),
                                         suns.path, suns.weather);
    for (std::size_t s = 0; s < one.n_surfaces; ++s) {
        double sum = 0;
        for (std::size_t h = 0; h < one.n_hours; ++h)
            sum += one.direct_w_m2[one.at(h, SurfaceId(s))];
        const double expected = plates.mean(SurfaceId(s), sunlight.direct_wh_m2);
        EXPECT_NEAR(sum, expected, 1e-6 * expected + 1e-9);
    }
}

}  // namespace
}  // namespace noonshell
