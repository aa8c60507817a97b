// Random scenes of boxes: every answer of the sunlight and every share of the exchange against a
// tracer of its own in double precision, ray by ray.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "solar/exchange.hpp"
#include "solar/exposure.hpp"
#include "solar/sampling.hpp"
#include "tests/support/exact_rays.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

/// Rays nearer than this to an edge may go either way in single precision [m].
constexpr double edge_m = 1e-4;

/// The same scenes in every run, unless the environment asks for others (RC_PARAMS="seed=...").
void fix_seed() {
    setenv("RC_PARAMS", "seed=20210721 max_success=300", 0);
}

/// Boxes on a grid of 10 cm, so that many touch, line up or run into each other; some turned.
PlateEnvelope any_scene() {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = -1;
    const int n = *rc::gen::inRange(2, 7);
    for (int i = 0; i < n; ++i) {
        const auto tenths = [](int low, int high) { return 0.1 * *rc::gen::inRange(low, high); };
        const Vec3 foot(tenths(-60, 61), tenths(-60, 61), tenths(0, 31));
        const Vec3 size(tenths(1, 61), tenths(1, 61), tenths(1, 31));
        const double turn_deg = *rc::gen::element(0, 0, 0, 90, 30, 45, 77);
        plates.add_box("box", foot, size, turn_deg, 2.5);
    }
    return plates;
}

bool is_near_edge(const TriangleMesh& mesh, const Vec3& origin, const Vec3& direction) {
    return exact_rays::distance_to_nearest_edge(mesh, origin, direction) < edge_m;
}

std::vector<Vec3> any_suns() {
    std::vector<Vec3> suns;
    for (int i = 0; i < 4; ++i) {
        // Whole degrees: along walls and diagonals as well.
        suns.push_back(toward_sun(*rc::gen::inRange(0, 360), *rc::gen::inRange(1, 90)));
    }
    return suns;
}

struct Tally {
    std::size_t rays = 0, blocked = 0, near_edge = 0;
};

void check_facet(const PlateEnvelope& plates, const std::vector<Vec3>& points, const Vec3& sun,
                 double lit_share, Tally& tally) {
    std::size_t lit = 0, near = 0;
    const TriangleMesh& mesh = plates.envelope.blockers;
    for (const Vec3& point : points) {
        const bool blocked = exact_rays::first_hit(mesh, point, sun).found();
        lit += blocked ? 0 : 1;
        tally.blocked += blocked ? 1 : 0;
    }
    tally.rays += points.size();
    const double traced = lit_share * static_cast<double>(points.size());
    const double apart = std::abs(traced - static_cast<double>(lit));
    if (apart < 1e-4) return;
    for (const Vec3& point : points) near += is_near_edge(mesh, point, sun) ? 1 : 0;
    tally.near_edge += near;
    RC_ASSERT(apart < static_cast<double>(near) + 1e-4);
}

TEST(RandomScenes, SunlightAgreesRayByRay) {
    fix_seed();
    Tally tally;
    const bool passed = rc::check("sunlight of random boxes", [&] {
        const PlateEnvelope plates = any_scene();
        const FacetArrays& facets = plates.envelope.facets;
        MadeSuns suns;
        for (const Vec3& sun : any_suns()) suns.add_hour({sun}, 1000, 0);
        const RayScene scene(plates.envelope.blockers);
        ExposureOptions options;
        options.surface_tolerance = 0;
        options.keep_facet_hours = true;
        const Sunlight light =
            trace_sunlight(plates.envelope, scene, suns.path, suns.weather, options);
        for (std::size_t f = 0; f < facets.size(); ++f) {
            const auto points = facet_points(facets, f, options.points_per_facet);
            for (std::size_t row = 0; row < suns.path.size(); ++row) {
                const Vec3& sun = suns.path.direction[row];
                const double cosine = facets.normal[f].dot(sun);
                const double lit = static_cast<double>(light.lit_cosine[row * facets.size() + f]);
                if (cosine <= 0) RC_ASSERT(lit == 0.0);
                // Grazing by rounding alone: nothing to compare.
                if (cosine > 1e-6) check_facet(plates, points, sun, lit / cosine, tally);
            }
        }
    });
    EXPECT_TRUE(passed);
    EXPECT_GT(tally.rays, 10'000u);
    EXPECT_GT(tally.blocked, tally.rays / 20);
    EXPECT_LT(tally.near_edge, tally.rays / 100);
}

/// Rays of one facet as [joe2008] points give them, counted in double precision.
struct CountedView {
    double up = 0, free = 0, near_edge = 0;
};

CountedView exact_view(const PlateEnvelope& plates, std::size_t f, std::uint32_t n_rays,
                       bool look_for_edges) {
    const FacetArrays& facets = plates.envelope.facets;
    const FacetSampler sampler(facets, f);
    const Tangents tangents = tangents_of(facets.normal[f]);
    CountedView view;
    for (std::uint32_t i = 0; i < n_rays; ++i) {
        const auto p = sobol_point(sobol_bits(i) ^ facet_shift(f, n_rays));
        const Vec3 direction = cosine_direction(facets.normal[f], tangents, p[0], p[1]);
        const Vec3 origin = sampler.point(p[2], p[3]) + ray_offset_m * facets.normal[f];
        if (direction.z() <= 0) continue;
        ++view.up;
        const TriangleMesh& mesh = plates.envelope.blockers;
        view.free += exact_rays::first_hit(mesh, origin, direction).found() ? 0 : 1;
        if (look_for_edges) view.near_edge += is_near_edge(mesh, origin, direction) ? 1 : 0;
    }
    return view;
}

TEST(RandomScenes, SkySharesAgreeRayByRay) {
    fix_seed();
    constexpr std::uint32_t n_rays = 64;
    std::size_t facets_seen = 0, shaded = 0, excused = 0;
    const bool passed = rc::check("sky shares of random boxes", [&] {
        const PlateEnvelope plates = any_scene();
        const auto matrix = trace_exchange(plates.envelope, RayScene(plates.envelope.blockers),
                                           {.rays_per_facet = n_rays});
        for (std::size_t f = 0; f < matrix.n_facets; ++f) {
            const double free_sky = (1 + plates.envelope.facets.normal[f].z()) / 2;
            CountedView view = exact_view(plates, f, n_rays, false);
            if (view.up <= 0) continue;
            ++facets_seen;
            shaded += view.free < view.up ? 1 : 0;
            const double apart =
                std::abs(matrix.sky_share[f] - free_sky * view.free / view.up) * view.up / free_sky;
            if (apart < 1e-6) continue;
            view = exact_view(plates, f, n_rays, true);
            ++excused;
            RC_ASSERT(apart <= view.near_edge + 1e-6);
        }
    });
    EXPECT_TRUE(passed);
    EXPECT_GT(facets_seen, 1000u);
    EXPECT_GT(shaded, facets_seen / 4);
    EXPECT_LT(excused, facets_seen / 50);
}

}  // namespace
}  // namespace noonshell
