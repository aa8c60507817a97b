// Hours of single facets: against closed forms for a free wall, against the sums of their months,
// which come another way, and against the shadow of an overhang.
#include "solar/facet_hours.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <vector>

#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

const Site site{.latitude_deg = 27, .ground_albedo = 0.4};

struct Found {
    SiteSun sun;
    FacetHours hours;
};

Found find(const PlateEnvelope& plates, const MadeSuns& suns, SiteSunOptions options,
           const std::vector<std::size_t>& facets) {
    for (const std::size_t f : facets) options.hours_of.emplace_back(f);
    const std::vector<double> reflectance(plates.envelope.surfaces.size(), 0.5);
    Found found;
    found.sun = find_sun(plates.envelope, site, suns.weather, suns.path, reflectance, options);
    found.hours = facet_hours(found.sun, site, suns.weather, suns.path, options.sky);
    return found;
}

// A wall alone on endless ground under an even sky: half the diffuse light, half of albedo times
// global; all of it sunlit while the sun is before it.
TEST(FacetHours, AFreeWallByTheFormulas) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);
    const MadeSuns suns = sun_year(27, 30);
    const Found found =
        find(plates, suns, {.ground = {.reach_m = 0}, .sky = SkyModel::even}, {1, 3});
    ASSERT_EQ(found.hours.facets.size(), 2u);
    ASSERT_GT(found.hours.hours.size(), 100u);
    for (std::size_t row = 0; row < found.hours.hours.size(); ++row) {
        const std::size_t h = found.hours.hours[row], at = found.hours.at(row, 1);
        const auto begin = suns.path.hour_begin[h], end = suns.path.hour_begin[h + 1];
        double cosine = 0, sine = 0;
        for (auto k = begin; k < end; ++k) {
            cosine += std::max(0.0, -suns.path.direction[k].y()) / (end - begin);
            sine += suns.path.direction[k].z() / (end - begin);
        }
        const double beam = suns.weather.direct_normal_w_m2[h];
        const double diffuse = suns.weather.diffuse_w_m2[h];
        EXPECT_NEAR(found.hours.direct_w_m2[at], beam * cosine, 0.02);
        EXPECT_NEAR(found.hours.sky_w_m2[at], diffuse / 2, 0.01);
        EXPECT_NEAR(found.hours.ground_w_m2[at], 0.4 * (beam * sine + diffuse) / 2, 0.01);
        EXPECT_EQ(found.hours.bounced_w_m2[at], 0);
        if (cosine > 0.02) {
            EXPECT_NEAR(found.hours.sunlit_share[at], 1, 1e-3);
        } else if (cosine == 0) {
            EXPECT_TRUE(std::isnan(found.hours.sunlit_share[at]));
        }
    }
}

/// Two boxes that stand in each other's way.
PlateEnvelope pair() {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0.6), Vec3(6, 2.4, 2.6), 0, 1.2);
    plates.add_box("b", Vec3(1, 4, 0.6), Vec3(6, 2.4, 2.6), 25, 1.2);
    return plates;
}

// Months are summed before anything is thrown, hours are thrown one by one: both are the same
// light. (An even sky: hours of an anisotropic one may be held at 0, months not.) A year is read
// from the grid of suns, hours of it are kept in bounds.
TEST(FacetHours, AddUpToTheMonthsOfTheFacet) {
    const PlateEnvelope plates = pair();
    MadeSuns suns = sun_year(27, 1);
    constexpr double latitude = 27 * std::numbers::pi / 180;
    suns.path.pole = Vec3(0, std::cos(latitude), std::sin(latitude));
    std::vector<std::size_t> facets;
    for (std::size_t f = 0; f < plates.envelope.facets.size(); f += 7) facets.push_back(f);
    const Found found = find(plates, suns, {.sky = SkyModel::even}, facets);
    const FacetSun& sums = found.sun.facets;
    const auto months = month_of_hour(site, suns.weather);
    std::size_t shaded = 0;
    for (std::size_t i = 0; i < facets.size(); ++i) {
        std::vector<double> direct(12, 0.0), sky(12, 0.0), ground(12, 0.0), bounced(12, 0.0);
        for (std::size_t row = 0; row < found.hours.hours.size(); ++row) {
            const std::size_t m = months[found.hours.hours[row]], at = found.hours.at(row, i);
            direct[m] += static_cast<double>(found.hours.direct_w_m2[at]);
            sky[m] += static_cast<double>(found.hours.sky_w_m2[at]);
            ground[m] += static_cast<double>(found.hours.ground_w_m2[at]);
            bounced[m] += static_cast<double>(found.hours.bounced_w_m2[at]);
            EXPECT_GE(found.hours.direct_w_m2[at], 0);
            const double share = static_cast<double>(found.hours.sunlit_share[at]);
            shaded += share > 0.01 && share < 0.99 ? 1u : 0u;
        }
        for (std::size_t m = 0; m < 12; ++m) {
            const std::size_t k = m * sums.n_facets + facets[i];
            EXPECT_NEAR(direct[m], sums.direct_wh_m2[k], 1e-4 * sums.direct_wh_m2[k] + 1);
            EXPECT_NEAR(sky[m], sums.sky_wh_m2[k], 1e-5 * sums.sky_wh_m2[k] + 1);
            EXPECT_NEAR(ground[m], sums.ground_wh_m2[k], 1e-5 * sums.ground_wh_m2[k] + 1);
            EXPECT_NEAR(bounced[m], sums.bounced_wh_m2[k], 1e-5 * sums.bounced_wh_m2[k] + 1);
        }
    }
    EXPECT_GT(shaded, 100u);
}

// Thrown light before it is scaled to the month: the scaling hides no error where a month has one
// hour alone, so compare single hours of one day with expose(), whose surfaces are the means of
// their facets but for reciprocity.
TEST(FacetHours, MeansOfASurfaceAreItsHours) {
    const PlateEnvelope plates = pair();
    const MadeSuns suns = sun_year(27, 91);
    const Surface& wall = plates.envelope.surfaces[1];
    std::vector<std::size_t> facets;
    for (std::size_t f = wall.first_facet; f < wall.first_facet + wall.n_facets; ++f)
        facets.push_back(f);
    const Found found = find(plates, suns, {.rays_per_facet = 2048, .sky = SkyModel::even}, facets);
    for (std::size_t row = 0; row < found.hours.hours.size(); ++row) {
        double direct = 0, thrown = 0;
        for (std::size_t i = 0; i < facets.size(); ++i) {
            const double share = plates.envelope.facets.area_m2[facets[i]] / wall.area_m2;
            const std::size_t at = found.hours.at(row, i);
            direct += share * static_cast<double>(found.hours.direct_w_m2[at]);
            thrown += share * static_cast<double>(found.hours.ground_w_m2[at] +
                                                  found.hours.bounced_w_m2[at]);
        }
        const Exposure& surfaces = found.sun.exposure;
        const std::size_t at = surfaces.at(found.hours.hours[row], SurfaceId(1));
        EXPECT_NEAR(direct, surfaces.direct_w_m2[at], 1e-4 * surfaces.direct_w_m2[at] + 0.01);
        EXPECT_NEAR(thrown, surfaces.ground_w_m2[at] + surfaces.bounced_w_m2[at], 1.5);
    }
}

// A deep slab over the upper part of a south wall: its upper facet has no sun at noon in summer,
// its lower one has; the roofless wall's times are those of the sun before it.
TEST(FacetHours, TimesAreThoseOfTheFacet) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(0, 0, 1), Vec3(2, 0, 0), Vec3(0, 0, 3), 1, 3);
    plates.add_blocker(Vec3(-20, -3, 4.05), Vec3(42, 0, 0), Vec3(0, 3, 0));
    const MadeSuns suns = sun_year(27, 10);
    const Found found = find(plates, suns, {.ground = {.reach_m = 0}}, {0, 2});
    const auto times = facet_times(found.sun.scenery, site, suns.weather, suns.path, found.hours);
    ASSERT_EQ(times.size(), 2u);
    const FacetArrays& facets = plates.envelope.facets;
    const std::size_t low = facets.centroid_m[0].z() < facets.centroid_m[2].z() ? 0 : 1;
    EXPECT_GT(times[low].worst_hour_w_m2, times[1 - low].worst_hour_w_m2);
    EXPECT_GT(times[low].worst_day_wh_m2, times[1 - low].worst_day_wh_m2);
    for (std::size_t i = 0; i < 2; ++i) {
        double most = 0, most_of_a_day = 0;
        std::map<std::size_t, double> days;  // the site's clock is UTC, hours begin at midnight
        for (std::size_t row = 0; row < found.hours.hours.size(); ++row) {
            const std::size_t at = found.hours.at(row, i);
            const double light = static_cast<double>(found.hours.direct_w_m2[at]) +
                                 static_cast<double>(found.hours.sky_w_m2[at]) +
                                 static_cast<double>(found.hours.ground_w_m2[at]) +
                                 static_cast<double>(found.hours.bounced_w_m2[at]);
            most = std::max(most, light);
            days[found.hours.hours[row] / 24] += light;
        }
        for (const auto& [day, light] : days) most_of_a_day = std::max(most_of_a_day, light);
        EXPECT_DOUBLE_EQ(times[i].worst_hour_w_m2, most);
        ASSERT_TRUE(times[i].earliest_sun_s && times[i].latest_sun_s);
        EXPECT_LT(*times[i].earliest_sun_s, *times[i].latest_sun_s);
        EXPECT_DOUBLE_EQ(times[i].worst_day_wh_m2, most_of_a_day);
        EXPECT_EQ(times[i].worst_day_begin % 24, 0u);
        EXPECT_DOUBLE_EQ(days[times[i].worst_day_begin / 24], most_of_a_day);
    }
}

TEST(FacetHours, RepeatToTheBitAtAnyThreadCount) {
    const PlateEnvelope plates = pair();
    const MadeSuns suns = sun_year(27, 61);
    const Found one = find(plates, suns, {.threads = 1}, {0, 5, 9}),
                two = find(plates, suns, {.threads = 2}, {0, 5, 9});
    EXPECT_EQ(one.hours.direct_w_m2, two.hours.direct_w_m2);
    EXPECT_EQ(one.hours.ground_w_m2, two.hours.ground_w_m2);
    EXPECT_EQ(facet_hours(one.sun, site, suns.weather, suns.path, {}, 1).bounced_w_m2,
              facet_hours(two.sun, site, suns.weather, suns.path, {}, 2).bounced_w_m2);
}

}  // namespace
}  // namespace noonshell
