#include "solar/exposure.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <thread>

#include "tests/support/made_suns.hpp"
#include "tests/support/mixed_yard.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

/// As many points as asked for, and all that can be kept.
ExposureOptions plain_options() {
    ExposureOptions options;
    options.surface_tolerance = 0;
    options.keep_facet_hours = true;
    return options;
}

Sunlight traced(const PlateEnvelope& plates, const MadeSuns& suns,
                const ExposureOptions& options = plain_options()) {
    return trace_sunlight(plates.envelope, RayScene(plates.envelope.blockers), suns.path,
                          suns.weather, options);
}

/// Direct energy on all facets [Wh].
double total_direct(const PlateEnvelope& plates, const Sunlight& sunlight) {
    double sum = 0;
    for (std::size_t f = 0; f < sunlight.n_facets; ++f) {
        sum += plates.envelope.facets.area_m2[f] * sunlight.direct_wh_m2[f];
    }
    return sum;
}

/// Share of a surface that is lit by the only sun.
double lit_share(const PlateEnvelope& plates, SurfaceId surface, const Sunlight& sunlight) {
    return plates.mean(surface, sunlight.direct_wh_m2) /
           plates.mean(surface, sunlight.unshaded_direct_wh_m2);
}

/// A level plate with a box on its middle.
struct BoxOnPlate {
    PlateEnvelope plates;
    SurfaceId ground, roof;
    double w = 2.438, d = 6.058, h = 2.591, side = 40;

    explicit BoxOnPlate(double turn_deg = 0) {
        ground = plates.add_plate("ground", Vec3(-side / 2, -side / 2, 0), Vec3(side, 0, 0),
                                  Vec3(0, side, 0), 160, 160);
        roof = plates.add_box("box", Vec3(0, 0, 0), Vec3(w, d, h), turn_deg, 0.5);
    }
};

// A box throws a shadow as long as its height over the tangent of the sun's elevation; on the
// ground it covers the plan of the box swept along that length.
TEST(Sunlight, ShadowOfABoxOnAPlate) {
    const BoxOnPlate scene;
    for (const double elevation : {20.0, 35.0, 60.0, 85.0}) {
        for (const double azimuth : {0.0, 90.0, 180.0, 215.0, 301.0}) {
            const auto sunlight = traced(scene.plates, one_sun(azimuth, elevation));
            const double length = scene.h / std::tan(elevation * degree);
            const double across = scene.w * std::abs(std::cos(azimuth * degree)) +
                                  scene.d * std::abs(std::sin(azimuth * degree));
            const double expected = scene.w * scene.d + across * length;
            const double area = scene.side * scene.side;
            const double dark = (1 - lit_share(scene.plates, scene.ground, sunlight)) * area;
            EXPECT_NEAR(dark, expected, 0.01 * expected) << azimuth << ", " << elevation;
            EXPECT_EQ(lit_share(scene.plates, scene.roof, sunlight), 1);
        }
    }
}

// Profile angle: tan(profile) = tan(elevation) / cos(surface-solar azimuth), shadow height below an
// overhang = depth times tan(profile). ASHRAE Handbook Fundamentals 2021 ch. 15 eqs (32), (34) and
// ch. 18 part 4: 57.2 and 15.1 degrees, depth 3.05 m: tan 1.6087, shadow 4.9 m.
TEST(Sunlight, ShadowBelowAnOverhang) {
    struct Case {
        double elevation, azimuth_off_normal, depth;
    };
    for (const auto& [elevation, off, depth] :
         {Case{57.2, 15.1, 3.05}, {30, 0, 3.05}, {45, 60, 1.2}, {70, -40, 1.0}}) {
        PlateEnvelope plates;
        const double height = 6, width = 10;
        const auto wall = plates.add_plate("wall", Vec3(-width / 2, 0, 0), Vec3(width, 0, 0),
                                           Vec3(0, 0, height), 20, 120);
        plates.add_blocker(Vec3(-100, -depth, height), Vec3(200, 0, 0), Vec3(0, depth, 0));
        const auto sunlight = traced(plates, one_sun(180 + off, elevation));
        const double tangent = std::tan(elevation * degree) / std::cos(off * degree);
        const double shadow = std::min(height, depth * tangent);
        const double measured = (1 - lit_share(plates, wall, sunlight)) * height;
        EXPECT_NEAR(measured, shadow, 0.02) << elevation << ", " << off;
        if (elevation == 57.2) {
            EXPECT_NEAR(tangent, 1.6087, 0.003);  // the angles are printed to 0.1 degrees
            EXPECT_NEAR(measured, 4.9, 0.03);
        }
    }
}

// Width of the shadow of a vertical fin = depth times |tan(surface-solar azimuth)|; ASHRAE Handbook
// Fundamentals 2021 ch. 15 eq. (33), value from memory.
TEST(Sunlight, ShadowBesideAFin) {
    for (const double off : {20.0, 45.0, 60.0}) {
        PlateEnvelope plates;
        const double depth = 1.5, width = 6;
        const auto wall =
            plates.add_plate("wall", Vec3(0, 0, 0), Vec3(width, 0, 0), Vec3(0, 0, 3), 120, 6);
        plates.add_blocker(Vec3(width, -depth, -50), Vec3(0, depth, 0), Vec3(0, 0, 100));
        const auto sunlight = traced(plates, one_sun(180 - off, 40));
        const double measured = (1 - lit_share(plates, wall, sunlight)) * width;
        EXPECT_NEAR(measured, depth * std::tan(off * degree), 0.02) << off;
    }
}

// No light is lost or made: whatever falls toward a plate that holds all shadows lands on the plate
// or on what stands on it.
TEST(Sunlight, EverythingInTheBeamIsHitOnce) {
    PlateEnvelope plates;
    const double side = 60;
    plates.add_plate("ground", Vec3(-side / 2, -side / 2, 0), Vec3(side, 0, 0), Vec3(0, side, 0),
                     200, 200);
    plates.add_box("a", Vec3(0, 0, 0), Vec3(6.058, 2.438, 2.591), 0, 0.3);
    plates.add_box("b", Vec3(0.4, 0.8, 2.591), Vec3(2.438, 6.058, 2.591), 0, 0.3);
    plates.add_box("c", Vec3(4, 5, 0), Vec3(6.058, 2.438, 2.591), 30, 0.3);
    plates.add_box("shade", Vec3(0, 0, 6), Vec3(8, 7, 0.05), -20, 0.3);
    for (const double elevation : {25.0, 50.0, 80.0}) {
        for (const double azimuth : {10.0, 135.0, 200.0, 290.0}) {
            const auto sunlight = traced(plates, one_sun(azimuth, elevation));
            const double beam = 1000 * side * side * std::sin(elevation * degree);
            EXPECT_NEAR(total_direct(plates, sunlight) / beam, 1, 1e-3)
                << azimuth << ", " << elevation;
        }
    }
}

TEST(Sunlight, AnHoursBeamIsSharedByItsSteps) {
    PlateEnvelope plates;
    const auto plate = plates.add_plate("plate", Vec3(0, 0, 0), Vec3(2, 0, 0), Vec3(0, 1, 1), 3, 3);
    MadeSuns suns;
    suns.path.step_s = 600;
    const std::vector<Vec3> three = {toward_sun(100, 5), toward_sun(140, 30), toward_sun(200, 60)};
    suns.add_hour(three, 700, 0);
    suns.add_hour({}, 300, 20);                   // sun down: no row
    suns.add_hour({toward_sun(180, 40)}, 0, 50);  // diffuse only: a row without energy
    suns.add_hour({toward_sun(180, 40)}, 0, 0);   // night in the weather: no row
    suns.add_hour({toward_sun(0, 1)}, 500, 0);    // behind the plate
    const auto sunlight = traced(plates, suns);
    const Vec3 normal = plates.surface(plate).normal;
    double mean = 0;
    for (const Vec3& sun : three) mean += std::max(0.0, normal.dot(sun)) / 3;
    ASSERT_EQ(sunlight.sun_hours, (std::vector<std::uint32_t>{0, 2, 4}));
    for (std::size_t f = 0; f < sunlight.n_facets; ++f) {
        EXPECT_NEAR(sunlight.direct_wh_m2[f], 700 * mean, 1e-9);
        EXPECT_NEAR(sunlight.unshaded_direct_wh_m2[f], 700 * mean, 1e-9);
        EXPECT_NEAR(sunlight.sun_time_h[f], 0.5, 1e-12);
        EXPECT_EQ(sunlight.direct_standard_error_wh_m2[f], 0);
        EXPECT_NEAR(sunlight.lit_cosine[f], mean, 1e-6);
        EXPECT_NEAR(sunlight.lit_cosine[sunlight.n_facets + f], normal.dot(toward_sun(180, 40)),
                    1e-6);
        EXPECT_EQ(sunlight.lit_cosine[2 * sunlight.n_facets + f], 0);
    }
    EXPECT_NEAR(sunlight.part_lit_cosine[0], mean, 1e-6);
}

void expect_same_light(const Sunlight& a, const Sunlight& b) {
    for (std::size_t f = 0; f < a.n_facets; ++f) {
        ASSERT_NEAR(a.sun_time_h[f], b.sun_time_h[f], 1e-9) << f;
        ASSERT_NEAR(a.direct_wh_m2[f], b.direct_wh_m2[f], 1e-9 * (1 + a.direct_wh_m2[f])) << f;
    }
    for (std::size_t i = 0; i < a.lit_cosine.size(); ++i) {
        ASSERT_NEAR(a.lit_cosine[i], b.lit_cosine[i], 1e-6) << i;
    }
}

TEST(Sunlight, AnswersWithoutRaysAreThoseOfTheRays) {
    const PlateEnvelope plates = mixed_yard();
    for (const double turn : {0.0, 17.0}) {
        const MadeSuns suns = sun_year(24, 12, turn);
        ExposureOptions options = plain_options();
        const auto early = traced(plates, suns, options);
        options.early_answers = false;
        const auto rays = traced(plates, suns, options);
        EXPECT_EQ(early.answers, rays.answers);
        EXPECT_EQ(rays.rays, rays.answers);
        EXPECT_LT(early.rays, rays.rays / 2);
        expect_same_light(early, rays);
    }
}

TEST(Sunlight, FarFromTheOriginNothingChanges) {
    PlateEnvelope near = mixed_yard(), far = mixed_yard();
    const Vec3 shift(5000, -3500, 40);
    for (auto& p : far.envelope.blockers.vertices_m) p += shift;
    for (auto& p : far.envelope.facets.centroid_m) p += shift;
    for (auto& t : far.envelope.facets.triangles_m) {
        for (auto& p : t) p += shift;
    }
    const MadeSuns suns = sun_year(24, 30);
    const auto a = traced(near, suns), b = traced(far, suns);
    // A point within rounding of a shadow's edge may fall on its other side at single suns.
    for (std::size_t f = 0; f < a.n_facets; ++f) {
        ASSERT_NEAR(a.direct_wh_m2[f], b.direct_wh_m2[f], 1e-3 * a.unshaded_direct_wh_m2[f] + 1e-9);
    }
    EXPECT_NEAR(total_direct(far, b) / total_direct(near, a), 1, 1e-6);
}

TEST(Sunlight, BytesRepeatAtAnyThreadCount) {
    const PlateEnvelope plates = mixed_yard();
    const MadeSuns suns = sun_year(-30, 15);
    ExposureOptions options;  // with a plan of points of its own
    options.keep_facet_hours = true;
    options.threads = 1;
    const auto one = traced(plates, suns, options);
    for (const unsigned threads : {2u, 3u, 0u}) {
        options.threads = threads;
        const auto more = traced(plates, suns, options);
        EXPECT_EQ(one.lit_cosine, more.lit_cosine);
        EXPECT_EQ(one.part_lit_cosine, more.part_lit_cosine);
        EXPECT_EQ(one.sun_time_h, more.sun_time_h);
        EXPECT_EQ(one.direct_wh_m2, more.direct_wh_m2);
        EXPECT_EQ(one.direct_standard_error_wh_m2, more.direct_standard_error_wh_m2);
        EXPECT_EQ(one.rays, more.rays);
    }
    options.keep_facet_hours = false;
    const auto lean = traced(plates, suns, options);
    EXPECT_TRUE(lean.lit_cosine.empty());
    EXPECT_EQ(one.part_lit_cosine, lean.part_lit_cosine);
    EXPECT_EQ(one.direct_wh_m2, lean.direct_wh_m2);
}

PlateEnvelope turned_yard(double turn_deg, bool mirrored) {
    const Eigen::AngleAxisd turn(-turn_deg * degree, Vec3::UnitZ());
    const auto place = [&](double x, double y, double z) {
        return Vec3(turn * Vec3(mirrored ? -x : x, y, z));
    };
    const double own = mirrored ? 30 : -30;
    PlateEnvelope plates;
    plates.add_box("a", place(0, 0, 0), Vec3(6, 2.4, 2.6), -turn_deg, 0.3);
    plates.add_box("b", place(2, 5, 0), Vec3(6, 2.4, 2.6), -turn_deg + own, 0.3);
    plates.add_box("c", place(1, 1, 3.4), Vec3(8, 4, 0.05), -turn_deg, 0.3);
    return plates;
}

// Turning building and sun together changes nothing; a mirror swaps morning and evening.
TEST(Sunlight, AYearIsTheSameTurnedAndMirrored) {
    const auto plain = turned_yard(0, false);
    const auto reference = traced(plain, sun_year(24, 5));
    const double total = total_direct(plain, reference);
    for (const double turn_deg : {90.0, 180.0, 270.0, 37.0}) {
        const auto turned = turned_yard(turn_deg, false);
        const auto sunlight = traced(turned, sun_year(24, 5, turn_deg));
        EXPECT_NEAR(total_direct(turned, sunlight) / total, 1, 2e-4) << turn_deg;
        for (std::size_t s = 0; s < turned.envelope.surfaces.size(); ++s) {
            const SurfaceId id(s);
            EXPECT_NEAR(turned.mean(id, sunlight.direct_wh_m2),
                        plain.mean(id, reference.direct_wh_m2),
                        0.005 * plain.mean(id, reference.unshaded_direct_wh_m2) + 1e-6)
                << turned.envelope.surfaces[s].id << " turned by " << turn_deg;
        }
    }
    const auto mirror = turned_yard(0, true);
    EXPECT_NEAR(total_direct(mirror, traced(mirror, sun_year(24, 5))) / total, 1, 2e-4);
}

TEST(Sunlight, StandardErrorCoversTheTrueError) {
    // The wall below an overhang: against a run with 64 times the points.
    const PlateEnvelope plates = turned_yard(0, false);
    const MadeSuns suns = sun_year(24, 10);
    ExposureOptions options = plain_options();
    const auto few = traced(plates, suns, options);
    options.points_per_facet = 256;
    const auto many = traced(plates, suns, options);
    int facets = 0, within = 0;
    for (std::size_t f = 0; f < few.n_facets; ++f) {
        const double error = std::abs(few.direct_wh_m2[f] - many.direct_wh_m2[f]);
        EXPECT_LE(few.direct_wh_m2[f], few.unshaded_direct_wh_m2[f] * (1 + 1e-12));
        if (few.direct_standard_error_wh_m2[f] == 0) continue;
        ++facets;
        within += error <= 2 * few.direct_standard_error_wh_m2[f] ? 1 : 0;
    }
    EXPECT_GT(facets, 200);
    EXPECT_GT(within, 0.95 * facets);
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        const SurfaceId id(s);
        const double fine = plates.mean(id, many.direct_wh_m2);
        EXPECT_NEAR(plates.mean(id, few.direct_wh_m2), fine,
                    0.005 * plates.mean(id, many.unshaded_direct_wh_m2) + 1e-9);
    }
}

TEST(Sunlight, UncertainFacetsGetMorePoints) {
    // Walls 0.4 m apart that take sun near their upper edges only, in coarse facets.
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0), Vec3(2.438, 6.058, 2.896), 0, 1.0);
    plates.add_box("b", Vec3(0, 5.0, 0), Vec3(6, 3.142, 2.896), 0, 1.0);
    plates.add_box("open", Vec3(100, 0, 0), Vec3(6, 3, 2.6), 0, 0.5);
    const MadeSuns suns = sun_year(24, 5);
    ExposureOptions options = plain_options();
    const auto even = traced(plates, suns, options);
    options.points_per_facet = 256;
    const auto fine = traced(plates, suns, options);
    const ExposureOptions planned_options;
    const auto planned = traced(plates, suns, planned_options);
    EXPECT_GT(planned.answers, even.answers);
    EXPECT_LT(planned.answers, 2 * even.answers);
    double worst_even = 0, worst_planned = 0;
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        const SurfaceId id(s);
        const double exact = plates.mean(id, fine.direct_wh_m2);
        const double scale = std::max(exact, 0.2 * plates.mean(id, fine.unshaded_direct_wh_m2));
        if (scale == 0) continue;
        const auto error = [&](const Sunlight& x) {
            return std::abs(plates.mean(id, x.direct_wh_m2) - exact) / scale;
        };
        worst_even = std::max(worst_even, error(even));
        worst_planned = std::max(worst_planned, error(planned));
    }
    EXPECT_GT(worst_even, 0.005);
    EXPECT_LT(worst_planned, 0.005);
}

TEST(Sunlight, CoveredAndBuriedFacetsAreDark) {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = 0;
    plates.add_plate("roof", Vec3(0, 0, 1), Vec3(4, 0, 0), Vec3(0, 1, 0), 4, 1);
    plates.add_plate("cellar", Vec3(9, 0, -1), Vec3(4, 0, 0), Vec3(0, 1, 0), 4, 1);
    plates.envelope.facets.covered[1] = 1;
    const auto sunlight = traced(plates, one_sun(180, 30));
    EXPECT_NEAR(sunlight.direct_wh_m2[0], 500, 1e-9);
    EXPECT_EQ(sunlight.direct_wh_m2[1], 0);
    EXPECT_EQ(sunlight.direct_wh_m2[5], 0);
    for (std::size_t f = 0; f < 8; ++f) EXPECT_NEAR(sunlight.unshaded_direct_wh_m2[f], 500, 1e-9);
    // Parts hold open facets alone: none of the cellar is one.
    for (const float lit : sunlight.part_lit_cosine) EXPECT_NEAR(lit, 0.5, 1e-6);
}

TEST(Sunlight, StopsWhenAskedAndReportsFromOneThread) {
    const PlateEnvelope plates = mixed_yard();
    const MadeSuns suns = sun_year(24, 60);
    std::atomic<bool> stop{true};
    ExposureOptions options;
    options.stop = &stop;
    EXPECT_THROW(traced(plates, suns, options), Interrupted);
    stop = false;
    double last = 0;
    options.progress = [&, caller = std::this_thread::get_id()](double done) {
        EXPECT_EQ(std::this_thread::get_id(), caller);
        EXPECT_GE(done, last);
        last = done;
    };
    traced(plates, suns, options);
    EXPECT_EQ(last, 1);
    for (const std::uint32_t points : {0u, 1u, 2000u}) {
        options.points_per_facet = points;
        EXPECT_THROW(traced(plates, suns, options), InputError);
    }
    options.points_per_facet = 4;
    options.surface_tolerance = -1;
    EXPECT_THROW(traced(plates, suns, options), InputError);
}

TEST(Sunlight, AnEmptyEnvelopeIsAnEmptyAnswer) {
    const PlateEnvelope nothing;
    const auto sunlight = traced(nothing, one_sun(180, 30));
    EXPECT_EQ(sunlight.n_facets, 0u);
    EXPECT_EQ(sunlight.rays, 0u);
}

}  // namespace
}  // namespace noonshell
