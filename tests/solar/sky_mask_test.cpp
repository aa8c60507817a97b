// What stands around a point: closed forms of single plates, and the exchange matrix.
#include "solar/sky_mask.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"
#include "solar/exchange.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

std::size_t first_facet(const PlateEnvelope& yard, SurfaceId surface) {
    return yard.surface(surface).first_facet;
}

SkyMask mask_of(const PlateEnvelope& yard, SurfaceId surface, const Site& site = {},
                const SkyMaskOptions& options = {}) {
    const RayScene scene(yard.envelope.blockers);
    return sky_mask(yard.envelope, scene, site, first_facet(yard, surface), options);
}

double sum_of_shares(const SkyMask& mask) {
    double sum = 0;
    for (std::uint32_t e = 0; e < mask.n_elevations; ++e) {
        for (std::uint32_t a = 0; a < mask.n_azimuths; ++a) sum += mask.share(a, e);
    }
    return sum;
}

TEST(SkyMask, FreePlanesSeeTheSkyAsTheyAreTilted) {
    // (1 + cos tilt) / 2, closed form of a free plane above level ground.
    for (const double tilt : {0.0, 30.0, 90.0, 135.0}) {
        PlateEnvelope yard;
        const Vec3 up_slope(0, std::cos(tilt * degree), std::sin(tilt * degree));
        const SurfaceId plate =
            yard.add_plate("plate", {0, 0, 2}, {0.1, 0, 0}, 0.1 * up_slope, 1, 1);
        const SkyMask mask = mask_of(yard, plate);
        EXPECT_NEAR(mask.sky_share(), 0.5 * (1 + std::cos(tilt * degree)), 2e-3) << tilt;
        EXPECT_NEAR(sum_of_shares(mask), 1, 2e-3) << tilt;
    }
}

TEST(SkyMask, AWideSlabOverheadHidesADisk) {
    // A disk of radius r at height h straight above a level point takes r^2 / (r^2 + h^2): closed
    // form; here as a square ring of plates would be coarse, so a square of half side a: four times
    // the corner factor of [howell] C-11..C-14, (2 / pi) 2 [x / sqrt(1 + x^2) atan(x / sqrt(1 +
    // x^2))] with x = a / h: parallel differential element to a centred square.
    PlateEnvelope yard;
    const SurfaceId floor =
        yard.add_plate("floor", {-0.01, -0.01, 0}, {0.02, 0, 0}, {0, 0.02, 0}, 1, 1);
    const SurfaceId slab = yard.add_plate("slab", {-3, -3, 2}, {6, 0, 0}, {0, 6, 0}, 1, 1);
    const double x = 3.0 / 2.0, root = std::sqrt(1 + x * x);
    const double hidden = 4 / std::numbers::pi * x / root * std::atan(x / root);
    const SkyMask mask = mask_of(yard, floor, {}, {.azimuth_step_deg = 1, .elevation_step_deg = 1});
    EXPECT_NEAR(mask.sky_share(), 1 - hidden, 3e-3);
    // Straight up stands the slab.
    EXPECT_EQ(yard.envelope.triangle_surface[mask.at(10, mask.n_elevations - 1)], slab);
}

TEST(SkyMask, AWallAcrossHidesTheLowSky) {
    // An endless wall of height h across a lane of width w, before a vertical point at its foot:
    // (1 - sin b) / 2 of the hemisphere is left of the sky, tan b = h / w (closed form in two
    // dimensions, crossed strings of Hottel).
    PlateEnvelope yard;
    const SurfaceId face = yard.add_plate("face", {-0.01, 0, 0}, {0.02, 0, 0}, {0, 0, 0.02}, 1, 1);
    ASSERT_NEAR(yard.surface(face).normal.y(), -1, 1e-12);
    const SurfaceId across =
        yard.add_plate("across", {4000, -3, 0}, {-8000, 0, 0}, {0, 0, 4}, 1, 1);
    const SkyMask mask = mask_of(yard, face, {}, {.azimuth_step_deg = 1, .elevation_step_deg = 1});
    EXPECT_NEAR(mask.sky_share(), 0.5 * (1 - std::sin(std::atan2(4.0 - 0.01, 3.0))), 4e-3);
    // South lies the wall, and behind it nothing is seen.
    const std::uint32_t level = mask.n_elevations / 2;
    EXPECT_EQ(yard.envelope.triangle_surface[mask.at(180, level)], across);
    EXPECT_EQ(mask.at(0, level), SkyMask::behind);
    EXPECT_EQ(mask.at(180, 1), SkyMask::ground);
    EXPECT_EQ(mask.at(180, mask.n_elevations - 1), SkyMask::sky);
}

TEST(SkyMask, AzimuthsAreThoseOfTheCompass) {
    // A post due east of the model's axes stands south when +Y points east.
    PlateEnvelope yard;
    const SurfaceId roof = yard.add_plate("roof", {0, 0, 0}, {0.1, 0, 0}, {0, 0.1, 0}, 1, 1);
    yard.add_blocker({5, -1, -1}, {0, 2, 0}, {0, 0, 4});
    for (const auto& [north_deg, seen_at] : {std::pair{0.0, 90u}, {90.0, 180u}, {-90.0, 0u}}) {
        Site site;
        site.north_deg = north_deg;
        const SkyMask mask =
            mask_of(yard, roof, site, {.azimuth_step_deg = 1, .elevation_step_deg = 1});
        const std::uint32_t low = mask.n_elevations / 2 + 5;
        EXPECT_FALSE(yard.envelope.triangle_surface.at(mask.at(seen_at, low)).valid()) << north_deg;
        EXPECT_EQ(mask.at((seen_at + 90) % 360, low), SkyMask::sky) << north_deg;
    }
}

TEST(SkyMask, HillsHideTheSkyBelowThem) {
    PlateEnvelope yard;
    const SurfaceId roof = yard.add_plate("roof", {0, 0, 0}, {0.1, 0, 0}, {0, 0.1, 0}, 1, 1);
    Site site;
    site.horizon = HorizonProfile({0, 90, 180, 270}, {20, 20, 20, 20});
    const SkyMask mask = mask_of(yard, roof, site);
    // Even hills of 20 degrees leave cos^2 20 of a level point's sky.
    EXPECT_NEAR(mask.sky_share(), std::pow(std::cos(20 * degree), 2), 1e-9);
    EXPECT_EQ(mask.at(0, mask.n_elevations / 2 + 9), SkyMask::hills);
    EXPECT_EQ(mask.at(0, mask.n_elevations / 2 + 10), SkyMask::sky);
}

TEST(SkyMask, AgreesWithTheExchangeMatrix) {
    // The same share by rays drawn another way; small facets, so that point and mean are one.
    PlateEnvelope yard;
    const SurfaceId wall = yard.add_plate("wall", {0, 0, 1}, {0.05, 0, 0}, {0, 0, 0.05}, 1, 1);
    const SurfaceId roof = yard.add_plate("roof", {3, 1, 1}, {0.05, 0, 0}, {0, 0.05, 0}, 1, 1);
    yard.add_box("neighbour", {2, -4, 0}, {6, 2.4, 2.6}, 20, 1);
    yard.add_plate("canopy", {-1, -2, 3}, {5, 0, 0}, {0, 4, 0.5}, 1, 1);
    const RayScene scene(yard.envelope.blockers);
    const ExchangeMatrix exchange = trace_exchange(yard.envelope, scene, {.rays_per_facet = 16384});
    for (const SurfaceId surface : {wall, roof}) {
        const std::size_t f = first_facet(yard, surface);
        const SkyMask mask = mask_of(yard, surface);
        EXPECT_NEAR(mask.sky_share(), exchange.sky_share[f], 4e-3) << surface.index();
        EXPECT_GT(exchange.sky_share[f], 0.05);
        EXPECT_LT(exchange.sky_share[f], 0.9);
    }
}

TEST(SkyMask, TheMiddleFacetIsNearTheMiddleAndOpen) {
    PlateEnvelope yard;
    const SurfaceId wall = yard.add_plate("wall", {0, 0, 0.1}, {5, 0, 0}, {0, 0, 1}, 5, 1);
    EXPECT_EQ(middle_facet(yard.envelope, wall).index(), 2u);
    yard.envelope.facets.covered[2] = 1;
    EXPECT_EQ(middle_facet(yard.envelope, wall).index(), 1u);  // the first of two equals
    for (auto& covered : yard.envelope.facets.covered) covered = 1;
    EXPECT_FALSE(middle_facet(yard.envelope, wall).valid());
}

TEST(SkyMask, StepsThatDoNotDivideTheCircleAreRefused) {
    PlateEnvelope yard;
    const SurfaceId roof = yard.add_plate("roof", {0, 0, 0}, {1, 0, 0}, {0, 1, 0}, 1, 1);
    for (const double step : {0.0, -2.0, 0.01, 7.0, std::nan("")}) {
        EXPECT_THROW(mask_of(yard, roof, {}, {.azimuth_step_deg = step}), InputError) << step;
        EXPECT_THROW(mask_of(yard, roof, {}, {.elevation_step_deg = step}), InputError) << step;
    }
}

}  // namespace
}  // namespace noonshell
