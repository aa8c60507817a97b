// Answers without rays against every triangle tried in double precision: what is said to be certain
// must be so, point by point.
#include "solar/early_shade.hpp"

#include <gtest/gtest.h>

#include <random>

#include "solar/ray_scene.hpp"
#include "solar/sampling.hpp"
#include "tests/support/exact_rays.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

struct Tally {
    int lit = 0, dark = 0, each = 0, open = 0;
    int decided() const { return lit + dark + each; }
};

/// All suns for the points of all facets of one surface.
void check_surface(const PlateEnvelope& plates, EarlyShade& early, SurfaceId surface,
                   const std::vector<Vec3>& suns, Tally& tally) {
    const Surface& s = plates.surface(surface);
    std::vector<Vec3> points;
    for (std::uint32_t f = s.first_facet; f < s.first_facet + s.n_facets; ++f) {
        const auto own = facet_points(plates.envelope.facets, f, 4);
        points.insert(points.end(), own.begin(), own.end());
    }
    early.set_group(points, s.normal);
    std::vector<std::uint8_t> blocked(points.size());
    for (const Vec3& sun : suns) {
        if (s.normal.dot(sun) <= 0) continue;
        const GroupLight light = early.answer(sun_vector(sun), blocked.data());
        if (light == GroupLight::open) {
            ++tally.open;
            continue;
        }
        (light == GroupLight::lit    ? tally.lit
         : light == GroupLight::dark ? tally.dark
                                     : tally.each)++;
        for (std::size_t p = 0; p < points.size(); ++p) {
            const bool expected =
                exact_rays::first_hit(plates.envelope.blockers, points[p], sun).found();
            const bool said =
                light == GroupLight::dark || (light == GroupLight::each && blocked[p] != 0);
            ASSERT_EQ(said, expected)
                << s.id << ", point " << points[p].transpose() << ", sun " << sun.transpose();
        }
    }
}

std::vector<Vec3> many_suns(std::mt19937& random) {
    std::uniform_real_distribution<double> azimuth(0, 360), elevation(0.01, 89.9);
    std::vector<Vec3> suns = {Vec3(0, 0, 1)};
    for (int i = 0; i < 200; ++i) suns.push_back(toward_sun(azimuth(random), elevation(random)));
    for (const double a : {0.0, 90.0, 180.0, 270.0, 45.0, 30.0, 120.0, 90.0001, 179.99999}) {
        for (const double e : {0.01, 0.5, 10.0, 45.0, 89.999}) suns.push_back(toward_sun(a, e));
    }
    return suns;
}

void check_all(const PlateEnvelope& plates, int least_decided_percent) {
    std::mt19937 random(17);
    const auto suns = many_suns(random);
    const ShadeCasters casters(plates.envelope);
    EarlyShade early(casters);
    Tally tally;
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        check_surface(plates, early, SurfaceId(s), suns, tally);
    }
    EXPECT_GT(tally.lit, 0);
    const int all = tally.decided() + tally.open;
    EXPECT_GE(100 * tally.decided(), least_decided_percent * all)
        << tally.lit << " lit, " << tally.dark << " dark, " << tally.each << " each, "
        << tally.open;
}

TEST(EarlyShade, BoxesThatTouchLeanAndHang) {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0), Vec3(6, 2.4, 2.6), 0, 1.2);
    plates.add_box("b", Vec3(0, 2.4, 0), Vec3(6, 2.4, 2.6), 0, 1.2);
    plates.add_box("c", Vec3(0.5, 0.7, 2.6), Vec3(2.4, 6, 2.6), 0, 1.2);
    plates.add_box("d", Vec3(7, 3, 0.3), Vec3(6, 2.4, 2.6), 30, 1.2);
    plates.add_box("shade", Vec3(1, 1, 6), Vec3(8, 6, 0.04), 15, 1.2);
    plates.add_box("sheet", Vec3(-5, 0, 0), Vec3(0.002, 4, 3), 0, 1.2);
    check_all(plates, 90);
    EXPECT_EQ(ShadeCasters(plates.envelope).parts().size(), 6u);  // bodies that touch stay apart
}

TEST(EarlyShade, BodiesThatAreNotConvexAreLeftToRays) {
    PlateEnvelope plates;
    for (int i = 0; i < 30; ++i) {  // a folded wall, one body
        const double x = 0.2 * i;
        plates.add_plate("rib", Vec3(x, 0, 0), Vec3(0.1, 0.05, 0), Vec3(0, 0, 2), 1, 2, BodyId(7));
        plates.add_plate("rib", Vec3(x + 0.1, 0.05, 0), Vec3(0.1, -0.05, 0), Vec3(0, 0, 2), 1, 2,
                         BodyId(7));
    }
    plates.add_box("box", Vec3(3, -4, 0), Vec3(2, 2, 2), 10, 1);
    check_all(plates, 25);
}

TEST(EarlyShade, FarFromTheOrigin) {
    PlateEnvelope plates;
    const Vec3 away(4800, -2900, 12);
    plates.add_box("a", away, Vec3(6, 2.4, 2.6), 0, 1.2);
    plates.add_box("b", away + Vec3(2, 3, 0), Vec3(6, 2.4, 2.6), 25, 1.2);
    plates.add_box("shade", away + Vec3(1, 1, 3.2), Vec3(8, 6, 0.04), 0, 1.2);
    check_all(plates, 90);
}

TEST(EarlyShade, RandomBoxes) {
    std::mt19937 random(2);
    std::uniform_real_distribution<double> place(-12, 12), height(0, 6), size(0.02, 6), turn(0, 90);
    for (int trial = 0; trial < 10; ++trial) {
        PlateEnvelope plates;
        for (int i = 0; i < 8; ++i) {
            plates.add_box("box", Vec3(place(random), place(random), height(random)),
                           Vec3(size(random), size(random), size(random)), turn(random), 3.0);
        }
        check_all(plates, 80);
    }
}

}  // namespace
}  // namespace noonshell
