// Light by way of the ground near the building: its shadow, its albedo by region, and what a bright
// wall sends it.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "solar/site_sun.hpp"
#include "tests/support/box_model.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"
#include "tests/support/view_factors.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

double facet_ground(const ExchangeMatrix& matrix, std::size_t f, std::uint32_t first_ground) {
    double sum = matrix.ground_share[f];
    for (auto e = matrix.row_begin[f]; e < matrix.row_begin[f + 1]; ++e) {
        if (matrix.column[e].value >= first_ground) sum += matrix.share[e];
    }
    return sum;
}

// Ground facets and the endless ground beyond them together are the ground of a free plane,
// (1 - cos tilt) / 2: for facets to the last digit; for surfaces as nearly as both ways of counting
// agree.
TEST(NearGround, NearAndFarGroundTogetherAreHalfOfWhatAFreeWallSees) {
    for (const double tilt_deg : {60.0, 90.0, 135.0, 180.0}) {
        const double tilt = tilt_deg * degree;
        PlateEnvelope plates;
        plates.add_plate("plate", Vec3(0, 0, 3), Vec3(2, 0, 0),
                         Vec3(0, std::cos(tilt), std::sin(tilt)), 2, 2);
        const Envelope site = with_ground(plates.envelope, {.reach_m = 6, .cell_m = 0.5});
        const auto matrix = trace_exchange(site, RayScene(site.blockers));
        const std::uint32_t first_ground = matrix.parts.surface_begin[1];
        const double free_ground = (1 - std::cos(tilt)) / 2;
        for (std::size_t f = 0; f < 4; ++f) {
            EXPECT_NEAR(facet_ground(matrix, f, first_ground), free_ground, 1e-12) << tilt_deg;
            EXPECT_LT(matrix.ground_share[f], free_ground - 0.02) << "no near ground is seen";
            EXPECT_NEAR(matrix.sky_share[f], 1 - free_ground, 1e-12);
        }
        EXPECT_NEAR(matrix.surfaces.ground_share[0], free_ground, 0.004);
    }
}

/// A wall of height `h` that faces north amid a much longer one, on ground in facets.
struct LongWall {
    static constexpr double h = 2, length = 120;
    PlateEnvelope plates;
    Envelope site;
    ExchangeMatrix exchange;

    LongWall() {
        plates.add_plate("wall", Vec3(0.5, 0, 0), Vec3(-1, 0, 0), Vec3(0, 0, h), 2, 4);
        plates.add_blocker(Vec3(-length / 2, 0, 0), Vec3(length, 0, 0), Vec3(0, 0, h));
        site = with_ground(plates.envelope, {.reach_m = 12, .cell_m = 0.5});
        std::vector<std::uint32_t> rays(site.surfaces.size(), 16);
        rays[0] = 16384;
        exchange = trace_exchange(site, RayScene(site.blockers),
                                  {.rays_of_surface = rays, .part_size_m = 0.5});
    }

    /// Light from the ground on the wall [W/m2].
    double ground_light(const MadeSuns& suns, double albedo) const {
        const RayScene scene(site.blockers);
        const auto sunlight = trace_sunlight(site, scene, suns.path, suns.weather,
                                             {.surface_tolerance = 0, .part_size_m = 0.5});
        std::vector<double> reflectance(site.surfaces.size(), albedo);
        reflectance[0] = 0;
        Site place;
        place.ground_albedo = albedo;
        const auto light =
            expose(site, place, suns.weather, suns.path, sunlight, exchange, reflectance);
        return light.ground_w_m2[0];
    }
};

// The sun behind a long wall: its shadow covers a strip of width s = h / tan(profile) at its foot.
// A wall sees a strip of endless length at its foot by (1 + X - sqrt(1 + X^2)) / 2, X = s / h
// (crossed strings, Hottel), so that the ground light is albedo DNI sin(elevation) times
// (1/2 - that): (sqrt(1 + X^2) - X) / 2.
TEST(NearGround, ALongShadowDimsTheGroundLightAsItsStrip) {
    const LongWall wall;
    constexpr double albedo = 0.4, beam = 900;
    // Suns whose shadow ends where cells do: within a cell light is taken as even.
    for (const auto& [strip_m, off_deg] :
         {std::pair{0.5, 0.0}, {1.0, 35.0}, {2.0, 0.0}, {3.5, -50.0}, {6.0, 20.0}}) {
        const double strip = strip_m / LongWall::h;  // X
        const double elevation = std::atan(std::cos(off_deg * degree) / strip) / degree;
        const double full = albedo * beam * std::sin(elevation * degree);
        const double expected = (std::sqrt(1 + strip * strip) - strip) / 2;
        const double found = wall.ground_light(one_sun(180 + off_deg, elevation, beam, 0), albedo);
        EXPECT_NEAR(found / full, expected, 0.002) << strip_m << ", " << off_deg;
    }
    // With the sun in front nothing is in the shade.
    const double full = albedo * beam * std::sin(45 * degree);
    EXPECT_NEAR(wall.ground_light(one_sun(0, 45, beam, 0), albedo) / full, 0.5, 1e-3);
}

// A region of its own albedo, seen from a wall at its edge: the closed form of perpendicular
// rectangles tells its share, the rest of the half has the other albedo.
TEST(NearGround, RegionsThrowLightByTheirOwnAlbedo) {
    constexpr double edge = 4, depth = 3, h = 2.5, beam = 800, elevation = 90;
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(edge, 0, 0), Vec3(0, 0, h), 8, 5);
    SiteSunOptions options;
    options.ground.reach_m = 8;
    options.ground.cell_m = 0.5;
    options.ground.regions.push_back({"slab", {{0, -depth}, {edge, -depth}, {edge, 0}, {0, 0}}});
    options.region_albedo = {0.7};
    options.rays_per_facet = 2048;
    options.surface_tolerance = 0;
    Site site;
    site.ground_albedo = 0.25;
    const MadeSuns suns = one_sun(180, elevation, beam, 0);
    const std::vector<double> dark{0.0};
    const SiteSun sun = find_sun(plates.envelope, site, suns.weather, suns.path, dark, options);
    ASSERT_EQ(sun.scenery.surfaces.size(), 3u);
    EXPECT_EQ(sun.exposure.reflectance, (std::vector<double>{0, 0.7, 0.25}));
    const double share = view_factors::perpendicular(edge, h, depth);
    const double expected = beam * (0.7 * share + 0.25 * (0.5 - share));
    EXPECT_NEAR(sun.exposure.ground_w_m2[0] / expected, 1, 0.005);
    EXPECT_LT(sun.exposure.solar_residual, 1e-6);
}

// Far beyond the cells of the ground a region still throws its own light. Strips as wide as the
// wall, from its foot outwards: the share of each is that of the perpendicular rectangle up to its
// far end less that up to its near one, in closed form.
TEST(NearGround, RegionsGoOnBeyondTheCellsOfTheGround) {
    constexpr double edge = 6, h = 2.5, beam = 800, near_end = 10, far_end = 60;
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(edge, 0, 0), Vec3(0, 0, h), 12, 5);
    SiteSunOptions options;
    options.ground.reach_m = 5;
    const auto strip = [&](double from, double to) {
        return std::vector<Vec2>{{0, -to}, {edge, -to}, {edge, -from}, {0, -from}};
    };
    // The first spans the end of the cells, the second lies beyond them, under part of the first.
    options.ground.regions = {{"yard", strip(0, near_end)}, {"sand", strip(4, far_end)}};
    options.region_albedo = {0.8, 0.5};
    options.rays_per_facet = 8192;
    options.surface_tolerance = 0;
    Site site;
    site.ground_albedo = 0.1;
    const MadeSuns suns = one_sun(180, 90, beam, 0);
    const SiteSun sun =
        find_sun(plates.envelope, site, suns.weather, suns.path, std::vector<double>{0.0}, options);
    const double near_share = view_factors::perpendicular(edge, h, near_end);
    const double far_share = view_factors::perpendicular(edge, h, far_end) - near_share;
    const double expected =
        beam * (0.8 * near_share + 0.5 * far_share + 0.1 * (0.5 - near_share - far_share));
    EXPECT_NEAR(sun.exposure.ground_w_m2[0] / expected, 1, 0.005);
    EXPECT_NEAR(sun.surfaces.ground_wh_m2[0] / expected, 1, 0.005);
    EXPECT_LT(sun.exposure.solar_residual, 1e-6);
    for (const Warning& warning : sun.warnings) EXPECT_NE(warning.code, "ground-without-effect");
}

// What the ground is warmed by: the mean albedo of what is seen of it, here by the closed form of
// the test above.
TEST(NearGround, TheMeanAlbedoIsThatOfTheSharesSeen) {
    constexpr double edge = 6, h = 2.5, depth = 30;
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(edge, 0, 0), Vec3(0, 0, h), 12, 5);
    SiteSunOptions options;
    options.ground.regions = {{"yard", {{0, -depth}, {edge, -depth}, {edge, 0}, {0, 0}}}};
    options.region_albedo = {0.8};
    options.rays_per_facet = 2048;
    Site site;
    site.ground_albedo = 0.2;
    const MadeSuns suns = one_sun(180, 60);
    const SiteSun sun =
        find_sun(plates.envelope, site, suns.weather, suns.path, std::vector<double>{0.0}, options);
    const double share = view_factors::perpendicular(edge, h, depth);
    const double expected = (0.8 * share + 0.2 * (0.5 - share)) / 0.5;
    EXPECT_NEAR(mean_ground_albedo(sun.scenery, sun.exchange, sun.exposure.far_albedo,
                                   sun.exposure.reflectance, sun.exposure.n_surfaces),
                expected, 0.005);
}

// One region over everything in sight is the albedo of the site, for surfaces and for facets.
TEST(NearGround, ARegionOverEverythingIsTheAlbedoOfTheSite) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(6, 0, 0), Vec3(0, 0, 3), 6, 3);
    plates.add_plate("leaning", Vec3(9, 0, 1), Vec3(6, 0, 0), Vec3(0, 2, 2), 6, 3);
    const MadeSuns suns = one_sun(200, 40, 700, 120);
    const std::vector<double> dark{0.0, 0.3};
    Site site;
    site.ground_albedo = 0.6;
    SiteSunOptions options;
    const SiteSun plain = find_sun(plates.envelope, site, suns.weather, suns.path, dark, options);
    constexpr double far = 1e5;
    options.ground.regions = {{"all", {{-far, -far}, {far, -far}, {far, far}, {-far, far}}}};
    options.region_albedo = {0.6};
    site.ground_albedo = 0.1;
    const SiteSun named = find_sun(plates.envelope, site, suns.weather, suns.path, dark, options);
    for (std::size_t s = 0; s < 2; ++s) {
        // Rays that end beyond the region are those within 3e-5 of the horizon.
        EXPECT_NEAR(named.exposure.ground_w_m2[s] / plain.exposure.ground_w_m2[s], 1, 1e-3);
        EXPECT_NEAR(named.surfaces.ground_standard_error_wh_m2[s] /
                        plain.surfaces.ground_standard_error_wh_m2[s],
                    1, 0.02);
    }
    for (std::size_t f = 0; f < plain.scenery.surfaces[0].n_facets; ++f) {
        EXPECT_NEAR(named.facets.ground_wh_m2[f] / plain.facets.ground_wh_m2[f], 1, 0.02) << f;
    }
}

// What a region cannot do is told: here one out of sight and one wholly under an earlier one.
TEST(NearGround, RegionsWithoutEffectAreTold) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(4, 0, 0), Vec3(0, 0, 2.5), 2, 2);
    SiteSunOptions options;
    options.ground.reach_m = 6;
    const auto square = [](double low, double high) {
        return std::vector<Vec2>{{low, low}, {high, low}, {high, high}, {low, high}};
    };
    options.ground.regions = {
        {"slab", square(-4, 0)}, {"hidden", square(-3, -1)}, {"behind", square(100, 105)}};
    options.region_albedo = {0.7, 0.1, 0.1};
    const MadeSuns suns = one_sun(180, 60);
    const std::vector<double> dark{0.0};
    const SiteSun sun = find_sun(plates.envelope, {}, suns.weather, suns.path, dark, options);
    std::vector<std::string> told;
    for (const Warning& warning : sun.warnings)
        if (warning.code == "ground-without-effect") told.push_back(warning.where);
    EXPECT_EQ(told, (std::vector<std::string>{"[[ground]] hidden", "[[ground]] behind"}));
}

// A slab on the ground has no light from below, as thick or thin as it is, and none less above: its
// top is that of a slab as high in the air. (Ground is left out under what lies on it; were its
// underside open, it would see the endless ground there.)
TEST(NearGround, ASlabOnTheGroundHasNoLightFromBelow) {
    const auto sun_of = [](double above_m) {
        const test_models::BoxModel slab =
            test_models::box_model({{"terrace", {0, 0, above_m}, {4, 3, 0.12}, 0, Role::shade},
                                    {"house", {0, 60, 0}, {6, 2.4, 2.6}}});
        EnvelopeOptions options;
        options.ground_z_m = 0;
        options.facet_size_m = 1;
        const Envelope envelope = build_envelope(slab.model, slab.roles, options);
        const MadeSuns suns = one_sun(180, 60);
        const std::vector<double> dark(envelope.surfaces.size(), 0.0);
        return find_sun(envelope, {}, suns.weather, suns.path, dark, {});
    };
    const SiteSun on = sun_of(0), close = sun_of(0.03), high = sun_of(0.3);
    const auto surface = [](const SiteSun& sun, bool top) {
        for (std::size_t s = 0; s < sun.exposure.n_surfaces; ++s) {
            if (!sun.scenery.surfaces[s].id.starts_with("terrace/")) continue;
            const double up = sun.scenery.surfaces[s].normal.z();
            if (top ? up > 0.9 : up < -0.9) return SurfaceId(s);
        }
        return SurfaceId::none();
    };
    for (const SiteSun* sun : {&on, &close}) {
        const SurfaceId below = surface(*sun, false), above = surface(*sun, true);
        ASSERT_TRUE(below.valid() && above.valid());
        EXPECT_EQ(sun->scenery.surfaces[below.index()].exposed_area_m2, 0);
        EXPECT_EQ(sun->surfaces.total_wh_m2(below), 0);
        EXPECT_NEAR(
            sun->surfaces.total_wh_m2(above) / high.surfaces.total_wh_m2(surface(high, true)), 1,
            1e-6);
    }
    EXPECT_GT(high.surfaces.total_wh_m2(surface(high, false)), 0);
}

// As a run has it without any setting: the wall's own shadow before it, 1.5 m deep, takes the share
// of a perpendicular rectangle from the ground's half.
TEST(NearGround, CellsAreFineEnoughBesideAWallWithoutAnySetting) {
    constexpr double edge = 6, h = 2.6, beam = 800, elevation = 60;
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(edge, 0, 0), Vec3(0, 0, h), 12, 5);
    Site site;
    site.ground_albedo = 0.3;
    const MadeSuns suns = one_sun(0, elevation, beam, 0);
    const SiteSun sun = find_sun(plates.envelope, site, suns.weather, suns.path,
                                 std::vector<double>{0.0}, {.rays_per_facet = 4096});
    const double depth = h / std::tan(elevation * degree);
    const double lit = 0.5 - view_factors::perpendicular(edge, h, depth);
    const double expected = 0.3 * beam * std::sin(elevation * degree) * lit;
    EXPECT_NEAR(sun.exposure.ground_w_m2[0] / expected, 1, 0.01);
}

// A white wall alone on bright ground sends back to the slab before it what the closed form says:
// what leaves the wall times its area times its share of the slab is the bounced light on the
// slab's facets; and nothing is lost on the way.
TEST(NearGround, GroundGetsLightBackFromAWhiteWall) {
    constexpr double edge = 4, depth = 3, h = 2.5;
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(edge, 0, 0), Vec3(0, 0, h), 8, 5);
    SiteSunOptions options;
    options.ground.reach_m = 8;
    options.ground.cell_m = 0.5;
    options.ground.regions.push_back({"slab", {{0, -depth}, {edge, -depth}, {edge, 0}, {0, 0}}});
    options.region_albedo = {0.5};
    options.rays_per_facet = 2048;
    options.part_size_m = options.least_part_size_m = 10;  // the wall is one part
    Site site;
    site.ground_albedo = 0.5;
    const MadeSuns suns = one_sun(180, 30, 850, 100);
    const auto find = [&](double reflectance) {
        return find_sun(plates.envelope, site, suns.weather, suns.path,
                        std::vector<double>{reflectance}, options);
    };
    const SiteSun white = find(0.9), black = find(0.0);
    ASSERT_EQ(white.exchange.parts.surface_begin[1], 1u);
    const double leaves_w_m2 = white.exposure.leaving_by_bin_wh_m2[0];
    const double share = view_factors::perpendicular(edge, h, depth);
    double bounced_w = 0;
    const Surface& slab = white.scenery.surfaces[1];
    for (auto f = slab.first_facet; f < slab.first_facet + slab.n_facets; ++f) {
        bounced_w += white.scenery.facets.area_m2[f] * white.facets.bounced_wh_m2[f];
        EXPECT_EQ(black.facets.bounced_wh_m2[f], 0);
    }
    EXPECT_NEAR(bounced_w / (leaves_w_m2 * edge * h * share), 1, 0.01);
    // The wall gets more light by way of the brighter ground, and sends 0.9 of all it gets.
    EXPECT_GT(white.exposure.ground_w_m2[0], black.exposure.ground_w_m2[0] * 1.01);
    const double on_wall =
        white.exposure.direct_w_m2[0] + white.exposure.sky_w_m2[0] + white.exposure.ground_w_m2[0];
    EXPECT_NEAR(leaves_w_m2 / (0.9 * on_wall), 1, 1e-6);
    EXPECT_LT(white.exposure.solar_residual, 1e-6);
}

}  // namespace
}  // namespace noonshell
