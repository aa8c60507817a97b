// Yearly sun by facet and month: against closed forms for a free wall, and against the surfaces'
// own sums, which come another way.
#include <gtest/gtest.h>

#include <cmath>
#include <numeric>
#include <vector>

#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

SiteSun find(const PlateEnvelope& plates, const MadeSuns& suns, const SiteSunOptions& options) {
    const Site site{.latitude_deg = 27, .ground_albedo = 0.4};
    return find_sun(plates.envelope, site, suns.weather, suns.path,
                    std::vector<double>(plates.envelope.surfaces.size(), 0.5), options);
}

// A wall alone on endless ground, even sky: half the diffuse light, half of albedo times global,
// month by month; nothing to bounce from.
TEST(FacetSun, AFreeWallByTheFormulas) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);
    const MadeSuns suns = sun_year(27, 1);
    const SiteSun sun = find(plates, suns, {.ground = {.reach_m = 0}, .sky = SkyModel::even});
    ASSERT_EQ(sun.facets.n_bins, 12u);
    ASSERT_EQ(sun.facets.n_facets, 4u);
    const auto months = month_of_hour({}, suns.weather);
    std::vector<double> direct(12, 0.0), sky(12, 0.0), ground(12, 0.0);
    for (std::size_t h = 0; h < suns.weather.size(); ++h) {
        const auto begin = suns.path.hour_begin[h], end = suns.path.hour_begin[h + 1];
        double cosine = 0, sine = 0;
        for (auto k = begin; k < end; ++k) {
            cosine += std::max(0.0, -suns.path.direction[k].y()) / (end - begin);
            sine += suns.path.direction[k].z() / (end - begin);
        }
        const double beam = suns.weather.direct_normal_w_m2[h];
        const double diffuse = suns.weather.diffuse_w_m2[h];
        direct[months[h]] += beam * cosine;
        sky[months[h]] += diffuse / 2;
        ground[months[h]] += 0.4 * (beam * sine + diffuse) / 2;
    }
    for (std::size_t month = 0; month < 12; ++month) {
        ASSERT_GT(ground[month], 1000);
        for (std::size_t f = 0; f < 4; ++f) {
            const std::size_t i = month * 4 + f;
            EXPECT_NEAR(sun.facets.direct_wh_m2[i], direct[month], 1e-6 * ground[month]);
            EXPECT_NEAR(sun.facets.sky_wh_m2[i], sky[month], 1e-9 * sky[month]);
            EXPECT_NEAR(sun.facets.ground_wh_m2[i], ground[month], 1e-9 * ground[month]);
            EXPECT_EQ(sun.facets.bounced_wh_m2[i], 0);
        }
    }
    // Nothing in the way of the sky, nothing to bounce from: no error. Of the ground no more than
    // 512 independent rays would give.
    const double year = std::accumulate(ground.begin(), ground.end(), 0.0);
    for (std::size_t f = 0; f < 4; ++f) {
        EXPECT_EQ(sun.facets.sky_standard_error_wh_m2[f], 0);
        EXPECT_LE(sun.facets.ground_standard_error_wh_m2[f], 1.001 * year / std::sqrt(512));
        EXPECT_EQ(sun.facets.bounced_standard_error_wh_m2[f], 0);
    }
}

double over_surface(const SiteSun& sun, const Surface& surface, const std::vector<double>& by_bin) {
    double sum = 0;
    for (std::size_t bin = 0; bin < sun.facets.n_bins; ++bin) {
        for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            sum += sun.scenery.facets.area_m2[f] * by_bin[bin * sun.facets.n_facets + f];
        }
    }
    return sum / surface.area_m2;
}

// Facets take their own shares, surfaces those of the net that obeys reciprocity; hour by hour on
// one side, sums of the sources on the other. Both ways count the same light. (An even sky: where
// the horizon part of an anisotropic one is negative, facets and surfaces differ by intent.)
TEST(FacetSun, FacetsAddUpToTheirSurfaces) {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0.6), Vec3(6, 2.4, 2.6), 0, 0.6);
    plates.add_box("b", Vec3(1, 4, 0.6), Vec3(6, 2.4, 2.6), 25, 0.6);
    const SiteSun sun =
        find(plates, sun_year(27, 20), {.rays_per_facet = 2048, .sky = SkyModel::even});
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        const Surface& surface = sun.scenery.surfaces[s];
        const SurfaceSun& own = sun.surfaces;
        const double scale = own.total_wh_m2(SurfaceId(s));
        EXPECT_NEAR(over_surface(sun, surface, sun.facets.direct_wh_m2), own.direct_wh_m2[s],
                    1e-6 * scale)
            << surface.id;
        EXPECT_NEAR(over_surface(sun, surface, sun.facets.sky_wh_m2), own.sky_wh_m2[s],
                    1e-6 * scale)
            << surface.id;
        EXPECT_NEAR(over_surface(sun, surface, sun.facets.ground_wh_m2), own.ground_wh_m2[s],
                    0.01 * scale)
            << surface.id;
        EXPECT_NEAR(over_surface(sun, surface, sun.facets.bounced_wh_m2), own.bounced_wh_m2[s],
                    0.005 * scale)
            << surface.id;
    }
}

}  // namespace
}  // namespace noonshell
