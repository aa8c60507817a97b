// Hills about the site: what they take of the sky in closed form, and the sun behind them.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "solar/horizon_profile.hpp"
#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

HorizonProfile even_skyline(double elevation_deg) {
    return {{0}, {elevation_deg}};
}

/// Straight up from 0 to 180 degrees of azimuth, flat elsewhere.
HorizonProfile hidden_east() {
    return {{0, 0.001, 179.999, 180}, {0, 89.999, 89.999, 0}};
}

ExchangeMatrix traced(const PlateEnvelope& plates, const HorizonProfile& hills,
                      double north_deg = 0, double band_deg = 6.5) {
    ExchangeOptions options;
    options.rays_per_facet = 16384;
    options.hills = &hills;
    options.north_deg = north_deg;
    options.horizon_band_deg = band_deg;
    return trace_exchange(plates.envelope, RayScene(plates.envelope.blockers), options);
}

/// A level plate and walls that face the compass in the order north, east, south, west (+Y north).
struct Plates : PlateEnvelope {
    Plates() {
        add_plate("roof", Vec3(0, 0, 9), Vec3(1, 0, 0), Vec3(0, 1, 0), 1, 1);
        for (int k = 0; k < 4; ++k) {
            const double azimuth = 90 * k * degree;
            const Vec3 out(std::sin(azimuth), std::cos(azimuth), 0);
            const Vec3 across(-out.y(), out.x(), 0);  // across x up = out
            add_plate("wall", Vec3(30 * (k + 1), 0, 3), across, Vec3(0, 0, 1), 1, 1);
        }
    }
};

// The cosine-weighted sky above an even skyline a: level, the integral of 2 sin e cos e from a to
// 90 degrees, cos^2 a; upright, (2 / pi) times that of cos^2 e, 1/2 - a / pi - sin(2 a) / (2 pi).
// The hills take the rest, and throw light as far ground does.
TEST(Hills, AnEvenSkylineTakesItsClosedForm) {
    // Walls a hair's breadth seen by each other: far apart, one square metre each.
    const Plates plates;
    for (const double a_deg : {0.0, 5.0, 20.0, 45.0, 80.0}) {
        const double a = a_deg * degree;
        const HorizonProfile hills = even_skyline(a_deg);
        const auto matrix = traced(plates, hills);
        const double level = std::cos(a) * std::cos(a);
        const double upright =
            0.5 - a / std::numbers::pi - std::sin(2 * a) / (2 * std::numbers::pi);
        EXPECT_NEAR(matrix.sky_share[0], level, 0.001) << a_deg;
        EXPECT_NEAR(matrix.ground_share[0], 1 - level, 0.001) << a_deg;
        for (std::size_t f = 1; f < 5; ++f) {
            EXPECT_NEAR(matrix.sky_share[f], upright, 0.001) << a_deg << ", wall " << f;
            EXPECT_NEAR(matrix.ground_share[f] + matrix.sky_share[f], 1, 0.001);
        }
    }
}

TEST(Hills, ThatHideTheEastLeaveTheWest) {
    const Plates plates;
    const auto shares = traced(plates, hidden_east()).sky_share;
    EXPECT_NEAR(shares[0], 0.5, 0.001);
    EXPECT_NEAR(shares[1], 0.25, 0.001);  // north: half of its quarter sphere
    EXPECT_NEAR(shares[2], 0, 0.001);     // east
    EXPECT_NEAR(shares[3], 0.25, 0.001);  // south
    EXPECT_NEAR(shares[4], 0.5, 0.001);   // west
    // With +Y to the east the wall toward +Y is the one in the dark, the wall toward +X faces
    // south.
    const auto turned = traced(plates, hidden_east(), 90).sky_share;
    EXPECT_NEAR(turned[0], 0.5, 0.001);
    EXPECT_NEAR(turned[1], 0, 0.001);
    EXPECT_NEAR(turned[2], 0.25, 0.001);
    EXPECT_NEAR(turned[3], 0.5, 0.001);
    EXPECT_NEAR(turned[4], 0.25, 0.001);
}

// [perez1990] puts the horizon light in a band; behind hills higher than the band nothing of it is
// seen, and below them the part of the band above the skyline, weighed by the cosine on a wall:
// the integral of cos^2 e.
TEST(Hills, TheHorizonBandVanishesBehindThem) {
    const Plates plates;
    EXPECT_NEAR(traced(plates, even_skyline(0)).horizon_share[1], 1, 1e-12);
    for (std::size_t f = 0; f < 5; ++f) {
        EXPECT_EQ(traced(plates, even_skyline(7)).horizon_share[f], 0) << f;
    }
    const auto below = [](double e_deg) {
        return e_deg * degree / 2 + std::sin(2 * e_deg * degree) / 4;
    };
    const double expected = (below(20) - below(8)) / below(20);
    EXPECT_NEAR(traced(plates, even_skyline(8), 0, 20).horizon_share[2], expected, 0.01);
}

// A sun behind the hills is no direct sun and no circumsolar light; what would fall with nothing
// in the way stays, for it tells what shade costs.
TEST(Hills, HideTheSunOfSingleSteps) {
    PlateEnvelope plates;
    plates.add_plate("roof", Vec3(0, 0, 3), Vec3(2, 0, 0), Vec3(0, 2, 0), 2, 2);
    MadeSuns suns;
    suns.add_hour({toward_sun(90, 20), toward_sun(95, 25), toward_sun(100, 30)}, 600, 90);
    suns.add_hour({toward_sun(180, 60)}, 900, 100);
    suns.path.hidden = {1, 1, 0, 0};
    const RayScene scene(plates.envelope.blockers);
    for (const bool early : {true, false}) {
        const Sunlight light = trace_sunlight(
            plates.envelope, scene, suns.path, suns.weather,
            {.keep_facet_hours = true, .early_answers = early, .circumsolar_w_m2 = {50, 70}});
        const double first = 600 * std::sin(30 * degree) / 3, noon = 900 * std::sin(60 * degree);
        const double hidden = 600 * (std::sin(20 * degree) + std::sin(25 * degree)) / 3;
        for (std::size_t f = 0; f < 4; ++f) {
            EXPECT_NEAR(light.direct_wh_m2[f], first + noon, 1e-3);
            EXPECT_NEAR(light.unshaded_direct_wh_m2[f], first + noon + hidden, 1e-3);
            EXPECT_NEAR(light.sun_time_h[f], 2 * suns.path.step_s / 3600, 1e-9);
            EXPECT_NEAR(light.circumsolar_by_bin_wh_m2[f],
                        50 * std::sin(30 * degree) / 3 + 70 * std::sin(60 * degree), 1e-4);
        }
    }
}

// Through the whole chain: a site amid even hills. Sky light of an even sky falls with the closed
// form, ground light of the hills is that of far ground; the sun path marks suns below them.
TEST(Hills, ReachTheSumsOfTheSite) {
    PlateEnvelope plates;
    plates.add_plate("roof", Vec3(0, 0, 3), Vec3(2, 0, 0), Vec3(0, 2, 0), 2, 2);
    Site site{.latitude_deg = 27, .ground_albedo = 0.3};
    const Weather weather = design_day_weather(site, {}, 2023);
    SiteSunOptions options;
    options.sky = SkyModel::even;
    options.rays_per_facet = 16384;
    const std::vector<double> dark{0.0};
    const auto find = [&] {
        return find_sun(plates.envelope, site, weather, sun_path(site, weather), dark, options);
    };
    const SiteSun flat = find();
    site.horizon = even_skyline(25);
    const SiteSun amid = find();
    const double open = std::cos(25 * degree) * std::cos(25 * degree);
    EXPECT_NEAR(amid.surfaces.sky_wh_m2[0] / flat.surfaces.sky_wh_m2[0], open, 0.001);
    double global = 0;
    for (std::size_t h = 0; h < weather.size(); ++h) global += weather.global_w_m2[h];
    EXPECT_EQ(flat.surfaces.ground_wh_m2[0], 0);
    EXPECT_NEAR(amid.surfaces.ground_wh_m2[0] / (0.3 * global * (1 - open)), 1, 0.02);
    // Hour by hour: none while the sun stands below 25 degrees, all of it above.
    EXPECT_DOUBLE_EQ(amid.surfaces.unshaded_direct_wh_m2[0],
                     flat.surfaces.unshaded_direct_wh_m2[0]);
    double above = 0;
    const SunPath path = sun_path(site, weather);
    for (std::size_t h = 0; h < weather.size(); ++h) {
        const auto begin = path.hour_begin[h], end = path.hour_begin[h + 1];
        for (auto k = begin; k < end; ++k) {
            if (path.elevation_deg[k] < 25) continue;
            above += weather.direct_normal_w_m2[h] * path.direction[k].z() *
                     path.beam_share_of(k, end - begin);
        }
    }
    EXPECT_LT(above, 0.98 * flat.surfaces.direct_wh_m2[0]);
    EXPECT_NEAR(amid.surfaces.direct_wh_m2[0], above, 1e-4 * above);
}

}  // namespace
}  // namespace noonshell
