// Who takes the sun away: closed forms of single shades, and the sum against the traced sunlight.
#include "solar/shade_sources.hpp"

#include <gtest/gtest.h>

#include "geometry/diagnostics.hpp"
#include "solar/exposure.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

/// Every plate or box is a caster of its own: the body of its surface.
std::vector<std::uint32_t> by_body(const Envelope& envelope) {
    std::vector<std::uint32_t> caster;
    for (const SurfaceId surface : envelope.triangle_surface) {
        caster.push_back(envelope.surfaces[surface.index()].body.value);
    }
    return caster;
}

std::vector<std::vector<ShadeSource>> sources_of(const PlateEnvelope& yard, const MadeSuns& suns,
                                                 const ShadeSourceOptions& options = {}) {
    const RayScene scene(yard.envelope.blockers);
    return shade_sources(yard.envelope, scene, suns.path, suns.weather,
                         light_parts(yard.envelope, 2.0), by_body(yard.envelope), options);
}

TEST(ShadeSources, AFreePlateLosesNothing) {
    PlateEnvelope yard;
    yard.add_plate("roof", {0, 0, 1}, {4, 0, 0}, {0, 4, 0}, 8, 8);
    EXPECT_TRUE(sources_of(yard, sun_year(27, 30))[0].empty());
}

TEST(ShadeSources, AWallUnderAnOverhangNamesTheOverhang) {
    PlateEnvelope yard;
    const SurfaceId wall = yard.add_plate("wall", {0, 0, 0.2}, {6, 0, 0}, {0, 0, 2.4}, 24, 10);
    const SurfaceId overhang =
        yard.add_plate("overhang", {-1, -1.2, 2.7}, {8, 0, 0}, {0, 1.2, 0}, 1, 1);
    const MadeSuns suns = sun_year(27, 3);
    const RayScene scene(yard.envelope.blockers);
    const Sunlight sunlight = trace_sunlight(yard.envelope, scene, suns.path, suns.weather);
    const auto sources = sources_of(yard, suns, {.points_per_part = 16});
    ASSERT_EQ(sources[wall.index()].size(), 1u);
    EXPECT_EQ(sources[wall.index()][0].caster, yard.envelope.surfaces[overhang.index()].body.value);
    const double taken =
        yard.mean(wall, sunlight.unshaded_direct_wh_m2) - yard.mean(wall, sunlight.direct_wh_m2);
    EXPECT_GT(taken, 0.2 * yard.mean(wall, sunlight.unshaded_direct_wh_m2));
    EXPECT_NEAR(sources[wall.index()][0].wh_m2, taken, 0.02 * taken);
}

TEST(ShadeSources, TheFirstBodyTakesAllAndTheMostComesFirst) {
    // Sun from the south at 45 degrees. The screen right before the wall covers its lower quarter
    // and stands in front of the far one, which shades everything.
    PlateEnvelope yard;
    const SurfaceId wall = yard.add_plate("wall", {0, 0, 0}, {4, 0, 0}, {0, 0, 4}, 8, 8);
    const SurfaceId near = yard.add_plate("near", {-9, -0.1, 0}, {20, 0, 0}, {0, 0, 1.1}, 1, 1);
    const SurfaceId far = yard.add_plate("far", {-9, -2, 0}, {20, 0, 0}, {0, 0, 30}, 1, 1);
    const MadeSuns suns = one_sun(180, 45, 800);
    const auto sources = sources_of(yard, suns, {.points_per_part = 63})[wall.index()];
    ASSERT_EQ(sources.size(), 2u);
    const double whole = 800 * std::sqrt(0.5);
    EXPECT_EQ(sources[0].caster, yard.envelope.surfaces[far.index()].body.value);
    EXPECT_EQ(sources[1].caster, yard.envelope.surfaces[near.index()].body.value);
    EXPECT_NEAR(sources[1].wh_m2, 0.25 * whole, 0.01 * whole);
    EXPECT_NEAR(sources[0].wh_m2 + sources[1].wh_m2, whole, 1e-9 * whole);
}

TEST(ShadeSources, CoveredPartsTakeNoPartButCountInTheMean) {
    PlateEnvelope yard;
    const SurfaceId roof = yard.add_plate("roof", {0, 0, 1}, {4, 0, 0}, {0, 1, 0}, 4, 1);
    yard.add_plate("lid", {-5, -5, 2}, {20, 0, 0}, {0, 20, 0}, 1, 1);
    yard.envelope.facets.covered[0] = 1;
    const auto sources = sources_of(yard, one_sun(180, 90, 1000))[roof.index()];
    ASSERT_EQ(sources.size(), 1u);
    EXPECT_NEAR(sources[0].wh_m2, 750, 1e-6);
}

TEST(ShadeSources, HillsAreNamedAsSuch) {
    PlateEnvelope yard;
    yard.add_plate("roof", {0, 0, 1}, {2, 0, 0}, {0, 2, 0}, 2, 2);
    MadeSuns suns = one_sun(180, 30, 900);
    suns.path.hidden = {1};
    const auto sources = sources_of(yard, suns)[0];
    ASSERT_EQ(sources.size(), 1u);
    EXPECT_EQ(sources[0].caster, ShadeSource::hills);
    EXPECT_NEAR(sources[0].wh_m2, 450, 1e-6);
}

TEST(ShadeSources, AreTheSameAtAnyThreadCount) {
    PlateEnvelope yard;
    yard.add_box("a", {0, 0, 0}, {6, 2.4, 2.6}, 10, 0.5);
    yard.add_box("b", {2, -4, 0}, {6, 2.4, 2.6}, -15, 0.5);
    const MadeSuns suns = sun_year(27, 20);
    const auto one = sources_of(yard, suns, {.threads = 1});
    const auto two = sources_of(yard, suns, {.threads = 2});
    std::size_t named = 0;
    for (std::size_t s = 0; s < one.size(); ++s) {
        ASSERT_EQ(one[s].size(), two[s].size());
        for (std::size_t i = 0; i < one[s].size(); ++i, ++named) {
            EXPECT_EQ(one[s][i].caster, two[s][i].caster);
            EXPECT_EQ(one[s][i].wh_m2, two[s][i].wh_m2);
        }
    }
    EXPECT_GT(named, 2u);
}

TEST(ShadeSources, PointsOutOfRangeAreRefused) {
    PlateEnvelope yard;
    yard.add_plate("roof", {0, 0, 1}, {2, 0, 0}, {0, 2, 0}, 2, 2);
    EXPECT_THROW(sources_of(yard, one_sun(180, 45), {.points_per_part = 0}), InputError);
    EXPECT_THROW(sources_of(yard, one_sun(180, 45), {.points_per_part = 65}), InputError);
}

}  // namespace
}  // namespace noonshell
