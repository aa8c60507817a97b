// What holds on a large site whatever the machine's speed: few rays, the answers of brute force,
// the same bytes on one thread and on two, an error of the sun step that falls with the step.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/settlement.hpp"

namespace noonshell {
namespace {

/// One pair of rows: 80 units and 13 shades, coarse facets.
const Envelope& pair_of_rows() {
    static const Envelope envelope = [] {
        EnvelopeOptions options;
        options.facet_size_m = 2;
        options.ground_z_m = 0;
        return test_models::settlement({.pairs = 1}, options);
    }();
    return envelope;
}

Sunlight trace_pair(const MadeSuns& suns, ExposureOptions options) {
    const RayScene scene(pair_of_rows().blockers);
    return trace_sunlight(pair_of_rows(), scene, suns.path, suns.weather, options);
}

double direct_of(const Sunlight& sunlight, const Surface& surface) {
    double sum = 0;
    for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        sum += pair_of_rows().facets.area_m2[f] * sunlight.direct_wh_m2[f];
    }
    return sum;
}

TEST(Settlement, HasItsUnitsAndTheAreaOfTheirBoxes) {
    EXPECT_EQ(pair_of_rows().units.size(), 80u);
    // Boxes of 20 feet: 2 (6.058 x 2.438 + 6.058 x 2.591 + 2.438 x 2.591) m2.
    double area = 0;
    for (const Surface& surface : pair_of_rows().surfaces) {
        if (surface.unit.valid()) area += surface.area_m2;
    }
    EXPECT_NEAR(area, 80 * 73.5642, 0.1);
}

/// Early answers are bounds: not one answer may differ from the tracer's, so that the sums agree
/// but for the order in which they are added.
TEST(Settlement, FastSchemeIsBruteForceWithFewRays) {
    const MadeSuns suns = sun_year(27.4, 61);
    const Sunlight fast = trace_pair(suns, {});
    const Sunlight brute = trace_pair(suns, {.early_answers = false});
    EXPECT_EQ(fast.answers, brute.answers);
    EXPECT_EQ(brute.rays, brute.answers);
    EXPECT_LT(fast.rays, fast.answers / 20);
    for (std::size_t f = 0; f < fast.n_facets; ++f) {
        EXPECT_NEAR(fast.direct_wh_m2[f], brute.direct_wh_m2[f], 1e-9 * brute.direct_wh_m2[f]);
        EXPECT_DOUBLE_EQ(fast.sun_time_h[f], brute.sun_time_h[f]);
    }
}

TEST(Settlement, OneThreadGivesTheBytesOfTwo) {
    const MadeSuns suns = sun_year(27.4, 91);
    const Site site{.latitude_deg = 27.4};
    const std::vector<double> reflectance(pair_of_rows().surfaces.size(), 0.3);
    const auto find = [&](unsigned threads) {
        return find_sun(pair_of_rows(), site, suns.weather, suns.path, reflectance,
                        {.rays_per_facet = 64, .threads = threads});
    };
    const SiteSun one = find(1), two = find(2);
    EXPECT_EQ(one.sunlight.direct_wh_m2, two.sunlight.direct_wh_m2);
    EXPECT_EQ(one.exchange.share, two.exchange.share);
    EXPECT_EQ(one.exposure.bounced_w_m2, two.exposure.bounced_w_m2);
    EXPECT_EQ(one.exposure.ground_w_m2, two.exposure.ground_w_m2);
    EXPECT_EQ(one.surfaces.bounced_standard_error_wh_m2, two.surfaces.bounced_standard_error_wh_m2);
    // Few hours for many surfaces: these are solved one by one, to 1e-4 of the brightest light, and
    // the sums over months to 1e-7.
    EXPECT_LT(one.exposure.hour_correction, 1e-4);
    EXPECT_GT(one.exposure.hour_correction, 0);
}

/// The midpoint rule over a sun that moves evenly: the mean error over many surfaces falls at least
/// in proportion to the step where shadow edges cross points, faster where the sun is smooth.
TEST(Settlement, ErrorOfTheSunStepFallsWithTheStep) {
    const auto trace = [&](int steps_per_hour) {
        return trace_pair(sun_year(27.4, 91, 0, steps_per_hour), {.surface_tolerance = 0});
    };
    const Sunlight truth = trace(60);
    const auto error_of = [&](int steps_per_hour) {
        const Sunlight coarse = trace(steps_per_hour);
        double apart = 0, sum = 0;
        for (const Surface& surface : pair_of_rows().surfaces) {
            apart += std::abs(direct_of(coarse, surface) - direct_of(truth, surface));
            sum += direct_of(truth, surface);
        }
        return apart / sum;
    };
    const double half_hour = error_of(2), ten_minutes = error_of(6);
    EXPECT_LT(ten_minutes, half_hour / 3);
    EXPECT_LT(ten_minutes, 0.005);
}

}  // namespace
}  // namespace noonshell
