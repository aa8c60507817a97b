// Light on both sides of sheets without thickness: a closed form, a closed room, and the same shade
// as a thin solid.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"
#include "tests/support/view_factors.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

/// Share of a parallel rectangle a by b at distance c, opposite a point at its corner (the closed
/// form of Howell's catalogue for an element and a parallel rectangle).
double corner_share(double a, double b, double c) {
    const double x = a / c, y = b / c;
    const double rx = std::sqrt(1 + x * x), ry = std::sqrt(1 + y * y);
    return (x / rx * std::atan(y / rx) + y / ry * std::atan(x / ry)) / (2 * std::numbers::pi);
}

/// Mean over one of two opposed rectangles of the square of the share that its points see of the
/// other: what an evenly lit one has back of its own light is this times both reflectances.
double mean_square_share(double a, double b, double c) {
    constexpr int n = 60;
    double sum = 0;
    for (int i = 0; i < n; ++i) {
        for (int j = 0; j < n; ++j) {
            const double u = a * (i + 0.5) / n, v = b * (j + 0.5) / n;
            const double share = corner_share(u, v, c) + corner_share(a - u, v, c) +
                                 corner_share(u, b - v, c) + corner_share(a - u, b - v, c);
            sum += share * share;
        }
    }
    return sum / (n * n);
}

// A sheet above a bright deck of its size, under a low sun: the deck, wholly lit, throws rho F E
// onto the sheet's underside (F of opposed rectangles); the top has the sun alone.
TEST(SheetLight, TheUndersideHasTheLightOfADeckBelow) {
    constexpr double a = 3, b = 2, gap = 1.5, beam = 900, elevation = 30, reflectance = 0.7;
    ASSERT_GT(gap / std::tan(elevation * degree), b);  // the shadow falls beside the deck
    for (const bool drawn_up : {true, false}) {
        PlateEnvelope plates;
        plates.envelope.ground_z_m = -40;
        const SurfaceId deck =
            plates.add_plate("deck", Vec3(0, 0, 0), Vec3(a, 0, 0), Vec3(0, b, 0), 12, 8);
        const Vec3 u(a, 0, 0), v(0, b, 0), corner(0, 0, gap);
        const SurfaceId first = drawn_up ? plates.add_sheet("sheet", corner, u, v, 12, 8)
                                         : plates.add_sheet("sheet", corner, v, u, 8, 12);
        const SurfaceId top = drawn_up ? first : SurfaceId(first.index() + 1);
        const SurfaceId underside = drawn_up ? SurfaceId(first.index() + 1) : first;
        std::vector<double> mirrors(plates.envelope.surfaces.size(), 0.0);
        mirrors[deck.index()] = reflectance;
        Site site;
        site.ground_albedo = 0;
        SiteSunOptions options;
        options.part_size_m = options.least_part_size_m = 0.25;
        options.rays_per_facet = 2048;
        options.surface_tolerance = 0;
        const MadeSuns suns = one_sun(180, elevation, beam, 0);
        const SiteSun sun =
            find_sun(plates.envelope, site, suns.weather, suns.path, mirrors, options);
        const double light = beam * std::sin(elevation * degree);
        const auto bounced = [&](SurfaceId s) { return sun.exposure.bounced_w_m2[s.index()]; };
        const auto direct = [&](SurfaceId s) { return sun.exposure.direct_w_m2[s.index()]; };
        EXPECT_NEAR(direct(top) / light, 1, 1e-6);  // single precision
        EXPECT_NEAR(direct(deck) / light, 1, 1e-6);
        EXPECT_EQ(direct(underside), 0);
        const double expected = reflectance * view_factors::opposed(a, b, gap) * light;
        EXPECT_NEAR(bounced(underside) / expected, 1, 0.005) << drawn_up;
        EXPECT_EQ(bounced(top), 0);
        EXPECT_LT(sun.exposure.solar_residual, 1e-6);
        // The underside throws back: to the deck alone, and to nothing where it is black.
        EXPECT_EQ(bounced(deck), 0);
        mirrors[underside.index()] = 0.5;
        const SiteSun bright =
            find_sun(plates.envelope, site, suns.weather, suns.path, mirrors, options);
        // Each further pass to and fro brings the same part again, all but for its spread.
        const double pass = 0.5 * reflectance * mean_square_share(a, b, gap);
        const double back = light * pass / (1 - pass);
        EXPECT_NEAR(bright.exposure.bounced_w_m2[deck.index()] / back, 1, 0.01) << drawn_up;
        EXPECT_EQ(bright.exposure.bounced_w_m2[top.index()], 0);
    }
}

// Within a room of six sheets, their backs inside, every ray meets an inside.
TEST(SheetLight, ARoomOfSheetsIsClosed) {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = -10;
    const Vec3 x(4, 0, 0), y(0, 3, 0), z(0, 0, 2.5), low(0, 0, 0);
    plates.add_sheet("top", low + z, x, y, 8, 6);
    plates.add_sheet("south", low, x, z, 8, 5);
    plates.add_sheet("east", low + x, y, z, 6, 5);
    plates.add_sheet("north", low + x + y, -x, z, 8, 5);
    plates.add_sheet("west", low + y, -y, z, 6, 5);
    plates.add_sheet("bottom", low, y, x, 6, 8);
    const auto exchange = trace_exchange(plates.envelope, RayScene(plates.envelope.blockers));
    for (std::size_t f = 0; f < exchange.n_facets; ++f) {
        const bool inside = plates.envelope.facets.surface[f].index() % 2 == 1;
        if (!inside) {
            EXPECT_NEAR(exchange.sky_share[f] + exchange.ground_share[f], 1, 1e-12);
            continue;
        }
        double seen = 0;
        for (auto e = exchange.row_begin[f]; e < exchange.row_begin[f + 1]; ++e) {
            EXPECT_EQ(exchange.parts.surface[exchange.column[e].index()].index() % 2, 1u);
            seen += exchange.share[e];
        }
        EXPECT_NEAR(seen, 1, 1e-12);
        EXPECT_EQ(exchange.context_share[f], 0);
    }
    // The middle of the floor sees the ceiling as opposed rectangles do.
    const SurfaceId ceiling(1), floor(11);
    double share = 0;
    const ExchangeNet& net = exchange.surfaces;
    for (auto e = net.row_begin[floor.index()]; e < net.row_begin[floor.index() + 1]; ++e) {
        if (net.column[e] == ceiling.index()) share = net.share[e];
    }
    EXPECT_NEAR(share, view_factors::opposed(4, 3, 2.5), 0.003);
}

// A year under a sheet is a year under a plate of 2 mm.
TEST(SheetLight, ASheetIsTheLimitOfAThinPlate) {
    const MadeSuns suns = sun_year(27, 15);
    const auto find = [&](bool sheet) {
        PlateEnvelope plates;
        plates.add_box("hut", Vec3(0, 0, 0), Vec3(4, 3, 2.5), 0, 0.5);
        const Vec3 u(5, 0, 0), v(0, 4, 0), corner(-2.5, -2, 3.2);
        if (sheet) {
            plates.add_sheet("shade", corner, u, v, 10, 8);
        } else {
            plates.add_plate("shade/top", corner + Vec3(0, 0, 0.002), u, v, 10, 8, BodyId(7));
            plates.add_plate("shade/underside", corner, v, u, 8, 10, BodyId(7));
        }
        Site site;
        site.latitude_deg = 27;
        SiteSunOptions options;
        options.rays_per_facet = 1024;
        const std::vector<double> reflectance(plates.envelope.surfaces.size(), 0.5);
        return find_sun(plates.envelope, site, suns.weather, suns.path, reflectance, options);
    };
    const SiteSun sheet = find(true), plate = find(false);
    ASSERT_EQ(sheet.exposure.n_surfaces, plate.exposure.n_surfaces);
    EXPECT_LT(sheet.exposure.solar_residual, 1e-6);
    for (std::size_t s = 0; s < sheet.exposure.n_surfaces; ++s) {
        if (s == 5) continue;  // the hut's floor lies on the ground
        const double total = plate.surfaces.total_wh_m2(SurfaceId(s));
        const auto near = [&](const std::vector<double>& a, const std::vector<double>& b) {
            EXPECT_NEAR(a[s], b[s], 0.006 * total) << s;
        };
        near(sheet.surfaces.direct_wh_m2, plate.surfaces.direct_wh_m2);
        near(sheet.surfaces.sky_wh_m2, plate.surfaces.sky_wh_m2);
        near(sheet.surfaces.ground_wh_m2, plate.surfaces.ground_wh_m2);
        near(sheet.surfaces.bounced_wh_m2, plate.surfaces.bounced_wh_m2);
    }
    const SurfaceId underside(7);
    EXPECT_GT(sheet.surfaces.ground_wh_m2[underside.index()], 0);
    EXPECT_GT(sheet.surfaces.bounced_wh_m2[underside.index()],
              0.05 * sheet.surfaces.total_wh_m2(SurfaceId(0)));
}

}  // namespace
}  // namespace noonshell
