// Standard errors against what other points and rays really give, and an accuracy that is asked
// for.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

/// Marks a floor that lies on the ground as covered, as contacts do.
void put_on_ground(PlateEnvelope& plates, SurfaceId roof) {
    const Surface& floor = plates.envelope.surfaces[roof.index() + 5];
    for (auto f = floor.first_facet; f < floor.first_facet + floor.n_facets; ++f) {
        plates.envelope.facets.covered[f] = 1;
    }
    plates.envelope.surfaces[roof.index() + 5].exposed_area_m2 = 0;
}

/// Two boxes, one turned, a slab over a part of both, a fence: all in each other's way.
PlateEnvelope yard(double facet_m = 0.8) {
    PlateEnvelope plates;
    put_on_ground(plates, plates.add_box("a", Vec3(0, 0, 0), Vec3(6, 2.4, 2.6), 0, facet_m));
    plates.add_box("b", Vec3(1, 4, 0.5), Vec3(6, 2.4, 2.6), 25, facet_m);
    plates.add_box("slab", Vec3(1, 2, 3.8), Vec3(4, 5, 0.1), 0, facet_m);
    put_on_ground(plates, plates.add_box("fence", Vec3(-4.5, 1, 0), Vec3(0.1, 6, 2), 0, facet_m));
    return plates;
}

SiteSun find(const PlateEnvelope& plates, const SiteSunOptions& options, int day_stride = 30) {
    const MadeSuns suns = sun_year(27, day_stride);
    const Site site{.latitude_deg = 27, .ground_albedo = 0.4};
    return find_sun(plates.envelope, site, suns.weather, suns.path,
                    std::vector<double>(plates.envelope.surfaces.size(), 0.5), options);
}

struct Coverage {
    std::size_t cases = 0, within = 0;

    /// One estimate against the truth; what has no error to speak of must be right.
    void add(double found, double truth, double standard_error, const std::string& what) {
        const double rounding = 1e-6 * std::max(1.0, std::abs(truth));
        if (standard_error <= rounding) {
            EXPECT_NEAR(found, truth, 0.002 * std::max(1000.0, truth)) << what;
            return;
        }
        ++cases;
        within += std::abs(found - truth) <= 1.96 * standard_error ? 1 : 0;
    }
    double share() const { return static_cast<double>(within) / static_cast<double>(cases); }
};

// Repeats with other seeds against a run with 16 times the points and 32 times the rays: at least
// 95 % of all surfaces lie within 1.96 standard errors, part by part.
TEST(ErrorBar, CoversTheTruthInNinetyFivePercentOfRepeats) {
    const PlateEnvelope plates = yard();
    const SiteSun truth =
        find(plates,
             {.points_per_facet = 64, .rays_per_facet = 16384, .surface_tolerance = 0, .seed = 77});
    Coverage direct, sky, ground, bounced, total;
    for (std::uint32_t seed = 1; seed <= 10; ++seed) {
        const SiteSun sun = find(plates, {.surface_tolerance = 0, .seed = seed});
        const SurfaceSun &a = sun.surfaces, &b = truth.surfaces;
        for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
            const std::string& id = plates.envelope.surfaces[s].id;
            direct.add(a.direct_wh_m2[s], b.direct_wh_m2[s], a.direct_standard_error_wh_m2[s], id);
            sky.add(a.sky_wh_m2[s], b.sky_wh_m2[s], a.sky_standard_error_wh_m2[s], id);
            ground.add(a.ground_wh_m2[s], b.ground_wh_m2[s], a.ground_standard_error_wh_m2[s], id);
            bounced.add(a.bounced_wh_m2[s], b.bounced_wh_m2[s], a.bounced_standard_error_wh_m2[s],
                        id);
            total.add(a.total_wh_m2(SurfaceId(s)), b.total_wh_m2(SurfaceId(s)),
                      a.standard_error_wh_m2(SurfaceId(s)), id);
        }
    }
    EXPECT_GT(direct.cases, 100u);
    EXPECT_GE(direct.share(), 0.95);
    EXPECT_GT(sky.cases, 100u);
    EXPECT_GE(sky.share(), 0.95);
    EXPECT_GT(ground.cases, 100u);
    EXPECT_GE(ground.share(), 0.95);
    EXPECT_GT(bounced.cases, 100u);
    EXPECT_GE(bounced.share(), 0.95);
    EXPECT_GE(total.share(), 0.95);
}

double sampled_wh_m2(const SurfaceSun& sun, SurfaceId s) {
    const double all = sun.standard_error_wh_m2(s), uneven = sun.unevenness_wh_m2[s.index()];
    return std::sqrt(std::max(0.0, all * all - uneven * uneven));
}

// Points n and rays n times as many: what sampling leaves open falls at least as n^-1/2.
TEST(ErrorBar, FallsWithMorePointsAndRays) {
    const PlateEnvelope plates = yard();
    const auto few = find(plates, {.surface_tolerance = 0}).surfaces;
    const auto many =
        find(plates, {.points_per_facet = 16, .rays_per_facet = 2048, .surface_tolerance = 0})
            .surfaces;
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        const SurfaceId id(s);
        EXPECT_LE(sampled_wh_m2(many, id), 0.6 * sampled_wh_m2(few, id) + 1e-6)
            << plates.envelope.surfaces[s].id;
    }
}

// Facets, ground cells and light parts of half the edge: what even light within parts does falls
// over all surfaces (on a single one by chance of where a shadow's edge falls).
TEST(ErrorBar, FallsWithFinerParts) {
    const SiteSunOptions coarse{.surface_tolerance = 0};
    const SiteSunOptions fine{.ground = {.cell_m = 0.5, .finest_cell_m = 0.125},
                              .part_size_m = 1,
                              .least_part_size_m = 0.25,
                              .surface_tolerance = 0};
    const auto sum_of_squares = [](const SiteSun& sun) {
        double sum = 0;
        for (const double error : sun.surfaces.unevenness_wh_m2) sum += error * error;
        return sum;
    };
    const double before = sum_of_squares(find(yard(), coarse));
    ASSERT_GT(before, 0);
    EXPECT_LE(sum_of_squares(find(yard(0.4), fine)), 0.6 * before);
}

// A wall on open ground: of its light from the ground, even and half of all, nothing is left open,
// though the rays that count it fall by chance on parts.
TEST(ErrorBar, TheExactHalfOfAWallsGroundLeavesNothingOpen) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 2), 4, 4);
    const SiteSun sun = find(plates, {.ground = {.reach_m = 0}});
    ASSERT_GT(sun.surfaces.ground_wh_m2[0], 1000);
    EXPECT_LE(sun.surfaces.ground_standard_error_wh_m2[0], 1e-9 * sun.surfaces.ground_wh_m2[0]);
}

TEST(ErrorBar, AnAccuracyAskedForIsMet) {
    const PlateEnvelope plates = yard();
    const SiteSun rough = find(plates, {.points_per_facet = 2, .rays_per_facet = 32});
    constexpr double accuracy = 0.005;
    ASSERT_GT(rough.accuracy, 2 * accuracy);
    const SiteSun sun =
        find(plates, {.points_per_facet = 2, .rays_per_facet = 32, .accuracy = accuracy});
    EXPECT_LE(sun.accuracy, accuracy);
    EXPECT_GT(sun.accuracy, 0);
    EXPECT_TRUE(sun.warnings.empty());
    // What it tells is the widest range of any surface that is not dim.
    double brightest = 0, widest = 0;
    const std::size_t n = plates.envelope.surfaces.size();
    for (std::size_t s = 0; s < n; ++s) {
        brightest = std::max(brightest, sun.surfaces.total_wh_m2(SurfaceId(s)));
    }
    for (std::size_t s = 0; s < n; ++s) {
        const SurfaceId id(s);
        const double total = sun.surfaces.total_wh_m2(id);
        if (total < 0.1 * brightest) continue;
        widest = std::max(widest, 1.96 * sun.surfaces.standard_error_wh_m2(id) / total);
    }
    EXPECT_DOUBLE_EQ(sun.accuracy, widest);
}

TEST(ErrorBar, AnAccuracyOutOfReachIsToldSo) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 0.5), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);
    plates.add_blocker(Vec3(-1, -1, 2.6), Vec3(4, 0, 0), Vec3(0, 1, 0));
    const SiteSun sun =
        find(plates, {.ground = {.reach_m = 2}, .accuracy = 1e-6, .threads = 0}, 120);
    EXPECT_GT(sun.accuracy, 1e-6);
    const auto told = std::ranges::find(sun.warnings, "accuracy-not-met", &Warning::code);
    ASSERT_NE(told, sun.warnings.end());
    EXPECT_NE(told->text.find("0.0001 %"), std::string::npos) << told->text;
}

}  // namespace
}  // namespace noonshell
