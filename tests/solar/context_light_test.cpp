// Light that context bodies throw: closed forms of facing plates, and the same neighbour as a
// context body and as a shade of the building.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/bounce.hpp"
#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"
#include "tests/support/view_factors.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr std::size_t lanes = BounceSolver::lanes;

SiteSunOptions fine(double context_reflectance) {
    SiteSunOptions options;
    options.context.cell_m = 0.5;
    options.context_reflectance = context_reflectance;
    options.rays_per_facet = 2048;
    options.surface_tolerance = 0;
    return options;
}

// A bright wall next door, wholly in the sun, throws rho F E onto a wall of its size that faces it;
// F of opposed rectangles. The sun stands behind our wall, whose shadow ends before the other.
TEST(ContextLight, AFacingWallThrowsItsClosedForm) {
    constexpr double a = 4, b = 2, beam = 900, elevation = 40, reflectance = 0.6;
    for (const double c : {3.0, 6.0}) {
        PlateEnvelope plates;
        plates.envelope.ground_z_m = -30;  // far below: no ground light, no shadow near
        plates.add_plate("wall", Vec3(a, 0, 6), Vec3(-a, 0, 0), Vec3(0, 0, b), 8, 4);
        plates.add_blocker(Vec3(0, c, 6), Vec3(a, 0, 0), Vec3(0, 0, b));
        Site site;
        site.ground_albedo = 0;
        const MadeSuns suns = one_sun(180, elevation, beam, 0);
        const std::vector<double> dark{0.0};
        const SiteSun sun =
            find_sun(plates.envelope, site, suns.weather, suns.path, dark, fine(reflectance));
        const double light = beam * std::cos(elevation * degree);
        const double expected = reflectance * view_factors::opposed(a, b, c) * light;
        // Our wall's shadow at the other: its top falls by c tan(elevation) on the way.
        ASSERT_GT(c * std::tan(elevation * degree), b);
        EXPECT_NEAR(sun.exposure.bounced_w_m2[0] / expected, 1, 0.005) << c;
        EXPECT_EQ(sun.exposure.ground_w_m2[0], 0);
        EXPECT_EQ(sun.exposure.n_surfaces, 1u);
        EXPECT_LT(sun.exposure.solar_residual, 1e-6);
        // Nothing where it reflects nothing.
        const SiteSun black =
            find_sun(plates.envelope, site, suns.weather, suns.path, dark, fine(0));
        EXPECT_EQ(black.exposure.bounced_w_m2[0], 0);
    }
}

// Two wide plates that face each other, the context one lit by 1 W/m2 from outside: between endless
// ones the light to and fro is a geometric series, E = rho_c / (1 - rho_c rho_w); of finite ones
// each pass keeps F.
TEST(ContextLight, WidePlatesThrowToAndFro) {
    constexpr double size = 20, gap = 0.5, of_wall = 0.7, of_context = 0.5;
    PlateEnvelope plates;
    plates.envelope.ground_z_m = -1;
    plates.add_plate("deck", Vec3(0, 0, 0), Vec3(size, 0, 0), Vec3(0, size, 0), 20, 20);
    plates.add_blocker(Vec3(0, 0, gap), Vec3(0, size, 0), Vec3(size, 0, 0));
    const Envelope site = with_context(plates.envelope);
    const ExchangeMatrix exchange = trace_exchange(site, RayScene(site.blockers));
    const double F = view_factors::opposed(size, size, gap);
    EXPECT_GT(F, 0.94);
    // Joined for heat the plate is context, as it was without surfaces of its own.
    EXPECT_NEAR(exchange.surfaces.context_share[0], F, 0.003);
    ASSERT_EQ(exchange.parts.first_ground, exchange.parts.size());
    std::vector<double> reflectance, arriving(exchange.parts.size() * lanes), thrown(arriving),
        leaving(arriving);
    const SurfaceId below(1);
    for (std::size_t p = 0; p < exchange.parts.size(); ++p) {
        reflectance.push_back(exchange.parts.surface[p].index() == 0 ? of_wall : of_context);
        if (exchange.parts.surface[p] == below)
            std::fill_n(arriving.begin() + static_cast<std::ptrdiff_t>(p * lanes), lanes, 1.0);
    }
    const BounceSolver solver(exchange.part_net, reflectance);
    solver.solve(arriving, leaving);
    solver.gather(leaving, 0, static_cast<std::uint32_t>(exchange.parts.size()), thrown);
    double light = 0;
    for (auto p = exchange.parts.surface_begin[0]; p < exchange.parts.surface_begin[1]; ++p)
        light += exchange.parts.area_m2[p] / (size * size) * thrown[p * lanes];
    const double endless = of_context / (1 - of_context * of_wall);
    const double finite = of_context * F / (1 - of_context * of_wall * F * F);
    EXPECT_NEAR(light / finite, 1, 0.01);
    EXPECT_NEAR(light / endless, 1, 0.1);
    for (const LightBalance& balance : solver.balance(arriving, leaving, thrown))
        EXPECT_LT(balance.residual(), 1e-6);
}

/// A white-walled neighbour beside a hut, as a body of the building or as context.
struct Neighbours {
    static constexpr double facet_m = 0.5;
    PlateEnvelope plates;
    std::size_t n_own = 0;

    explicit Neighbours(bool as_context) {
        plates.add_box("hut", Vec3(0, 0, 0), Vec3(6, 2.5, 2.6), 0, facet_m);
        n_own = plates.envelope.surfaces.size();
        const Vec3 size(6, 3, 4), low(-3, 4, 0);
        if (!as_context) {
            plates.add_box("other", low + Vec3(3, 1.5, 0), size, 0, facet_m);
            return;
        }
        const Vec3 x(size.x(), 0, 0), y(0, size.y(), 0), z(0, 0, size.z());
        plates.add_blocker(low + z, x, y);
        plates.add_blocker(low, x, z);
        plates.add_blocker(low + x, y, z);
        plates.add_blocker(low + x + y, -x, z);
        plates.add_blocker(low + y, -y, z);
        plates.add_blocker(low, y, x);
    }

    SiteSun find(const MadeSuns& suns, double of_hut, double of_other) const {
        std::vector<double> reflectance(plates.envelope.surfaces.size(), of_other);
        std::fill_n(reflectance.begin(), n_own, of_hut);
        Site site;
        site.latitude_deg = 27;
        SiteSunOptions options;
        options.context.cell_m = facet_m;
        options.context_reflectance = of_other;
        options.rays_per_facet = 1024;
        return find_sun(plates.envelope, site, suns.weather, suns.path, reflectance, options);
    }
};

TEST(ContextLight, ANeighbourThrowsTheSameAsAPartOfTheBuildingWould) {
    const MadeSuns suns = sun_year(27, 15);
    const SiteSun context = Neighbours(true).find(suns, 0.3, 0.8);
    const SiteSun shade = Neighbours(false).find(suns, 0.3, 0.8);
    const SiteSun dark = Neighbours(true).find(suns, 0.3, 0.0);
    ASSERT_EQ(context.exposure.n_surfaces, 6u);
    EXPECT_LT(context.exposure.solar_residual, 1e-6);
    double brightest = 0;
    for (std::size_t s = 0; s < 5; ++s) {  // the floor lies on the ground
        const double total = shade.surfaces.total_wh_m2(SurfaceId(s));
        const auto near = [&](const std::vector<double>& a, const std::vector<double>& b) {
            EXPECT_NEAR(a[s], b[s], 0.004 * total) << s;
        };
        near(context.surfaces.direct_wh_m2, shade.surfaces.direct_wh_m2);
        near(context.surfaces.sky_wh_m2, shade.surfaces.sky_wh_m2);
        near(context.surfaces.ground_wh_m2, shade.surfaces.ground_wh_m2);
        near(context.surfaces.bounced_wh_m2, shade.surfaces.bounced_wh_m2);
        brightest =
            std::max(brightest,
                     (context.surfaces.bounced_wh_m2[s] - dark.surfaces.bounced_wh_m2[s]) / total);
    }
    EXPECT_GT(brightest, 0.1);  // the wall that faces the bright one
}

}  // namespace
}  // namespace noonshell
