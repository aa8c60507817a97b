// Period sums by surface, against hand sums of two facets and three hours.
#include "solar/surface_sun.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace noonshell {
namespace {

TEST(SurfaceSun, SumsHoursAndMeansFacetsByArea) {
    Envelope envelope;
    envelope.surfaces.resize(1);
    envelope.surfaces[0].n_facets = 2;
    envelope.facets.area_m2 = {1.0, 3.0};

    Sunlight sunlight;
    sunlight.sun_time_h = {4.0, 0.0};
    sunlight.unshaded_direct_wh_m2 = {800, 800};
    FacetSun facets;
    facets.direct_standard_error_wh_m2 = {8.0, 2.0};
    facets.sky_standard_error_wh_m2 = {4.0, 0.0};
    facets.ground_standard_error_wh_m2 = {0.0, 1.0};
    facets.bounced_standard_error_wh_m2 = {0.0, 0.0};

    Exposure exposure;
    exposure.n_hours = 3;
    exposure.n_surfaces = 1;
    exposure.direct_w_m2 = {100, 200, 300};
    exposure.sky_w_m2 = {10, 20, 30};
    exposure.ground_w_m2 = {1, 2, 3};
    exposure.bounced_w_m2 = {0.5, 0.25, 0.25};

    const SurfaceSun sun = surface_sun(envelope, sunlight, exposure, facets);
    EXPECT_DOUBLE_EQ(sun.direct_wh_m2[0], 600);
    EXPECT_DOUBLE_EQ(sun.total_wh_m2(SurfaceId{std::size_t{0}}), 600 + 60 + 6 + 1);
    EXPECT_DOUBLE_EQ(sun.sun_time_h[0], 1.0);  // a quarter of the area for four hours
    EXPECT_DOUBLE_EQ(sun.unshaded_direct_wh_m2[0], 800);
    // Variance of (1 a + 3 b) / 4 with independent a, b: (64 + 36) / 16.
    EXPECT_DOUBLE_EQ(sun.direct_standard_error_wh_m2[0], std::sqrt(100.0) / 4.0);
    // Sky 4 / 4, ground 3 / 4: all parts in quadrature.
    EXPECT_NEAR(sun.standard_error_wh_m2(SurfaceId{std::size_t{0}}), std::sqrt(6.25 + 1.0 + 0.5625),
                1e-12);
}

}  // namespace
}  // namespace noonshell
