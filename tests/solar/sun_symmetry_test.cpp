// What must not matter to the sun of a site: how the model is turned, into how many bodies a body
// is split, how fine its facets are.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <vector>

#include "solar/site_sun.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// Yearly sun and its standard error by surface id.
struct SurfaceFigures {
    double area_m2 = 0, direct = 0, sky = 0, ground = 0, bounced = 0, unshaded = 0, error = 0;
    double total() const { return direct + sky + ground + bounced; }
};

/// Every tenth day of an invented clear year.
const Weather& tenth_days(const Site& site) {
    static const Weather weather = [&] {
        std::array<MonthNormals, 12> months;
        for (MonthNormals& month : months) {
            month = {.mean_high_c = 35, .mean_low_c = 20, .dew_point_c = 8, .wind_m_s = 3};
        }
        const Weather year = typical_clear_year(site, months, 2023);
        Weather some;
        for (std::size_t h = 0; h < year.size(); ++h) {
            if (h / 24 % 10 != 0) continue;
            some.hour_start_utc.push_back(year.hour_start_utc[h]);
            some.dry_bulb_c.push_back(year.dry_bulb_c[h]);
            some.direct_normal_w_m2.push_back(year.direct_normal_w_m2[h]);
            some.diffuse_w_m2.push_back(year.diffuse_w_m2[h]);
            some.global_w_m2.push_back(year.global_w_m2[h]);
        }
        return some;
    }();
    return weather;
}

std::map<std::string, SurfaceFigures> find(const std::vector<Box>& boxes, double north_deg,
                                           double facet_size_m) {
    constexpr double reflectance = 0.5;
    // Light is taken as even within a part and a ground cell: both fine, so that what is left is
    // the sampling.
    SiteSunOptions options{.ground = {.cell_m = 0.25}, .least_part_size_m = 0.25};
    options.part_size_m = 1;
    const BoxModel model = box_model(boxes);
    EnvelopeOptions envelope_options;
    envelope_options.ground_z_m = 0;
    envelope_options.north_deg = north_deg;
    envelope_options.facet_size_m = facet_size_m;
    const Envelope building = build_envelope(model.model, model.roles, envelope_options);
    const Site site{.latitude_deg = 27, .north_deg = north_deg, .ground_albedo = 0.4};
    const Weather& weather = tenth_days(site);
    const SiteSun sun =
        find_sun(building, site, weather, sun_path(site, weather),
                 std::vector<double>(building.surfaces.size(), reflectance), options);
    std::map<std::string, SurfaceFigures> figures;
    for (std::size_t s = 0; s < building.surfaces.size(); ++s) {
        const SurfaceSun& light = sun.surfaces;
        figures[building.surfaces[s].id] = {building.surfaces[s].area_m2,
                                            light.direct_wh_m2[s],
                                            light.sky_wh_m2[s],
                                            light.ground_wh_m2[s],
                                            light.bounced_wh_m2[s],
                                            light.unshaded_direct_wh_m2[s],
                                            light.standard_error_wh_m2(SurfaceId(s))};
    }
    return figures;
}

/// A slab over part of two units that stand apart, one turned.
std::vector<Box> yard() {
    return {{"a", {0, 0, 0}, {6, 2.4, 2.6}, 0, Role::unit},
            {"b", {1, 4, 0.4}, {6, 2.4, 2.6}, 20, Role::unit},
            {"c", {-1, -1, 3.6}, {5, 5, 0.1}, 0, Role::shade}};
}

std::vector<Box> turned(std::vector<Box> boxes, double left_deg) {
    for (Box& box : boxes) {
        box.corner_m = test_models::turned(box.corner_m, left_deg);
        box.turn_deg += left_deg;
    }
    return boxes;
}

// A site drawn with its axes turned to the left by an angle, north turned back by as much, is the
// same site: every surface keeps its name and its light. Facets and their points turn with it; the
// ground's cells lie along the axes of the drawing, which moves what comes by way of it a little.
TEST(SunSymmetry, TurningModelAndNorthTogetherChangesNothing) {
    const auto straight = find(yard(), 0, 0.5);
    for (const double turn_deg : {90.0, 37.0}) {
        const auto other = find(turned(yard(), turn_deg), turn_deg, 0.5);
        ASSERT_EQ(other.size(), straight.size());
        for (const auto& [id, before] : straight) {
            ASSERT_EQ(other.count(id), 1u) << id;
            const SurfaceFigures& after = other.at(id);
            const double scale = before.total() + 1;
            EXPECT_NEAR(after.unshaded, before.unshaded, 1e-6 * scale) << id;
            EXPECT_NEAR(after.direct, before.direct, 0.002 * scale) << id << ", " << turn_deg;
            EXPECT_NEAR(after.sky, before.sky, 0.003 * scale) << id << ", " << turn_deg;
            EXPECT_NEAR(after.ground, before.ground, 0.005 * scale) << id << ", " << turn_deg;
            EXPECT_NEAR(after.bounced, before.bounced, 0.003 * scale) << id << ", " << turn_deg;
        }
    }
}

/// Area mean of the same side of several units.
SurfaceFigures together(const std::map<std::string, SurfaceFigures>& figures,
                        const std::vector<std::string>& ids) {
    SurfaceFigures sum;
    for (const std::string& id : ids) sum.area_m2 += figures.at(id).area_m2;
    for (const std::string& id : ids) {
        const SurfaceFigures& one = figures.at(id);
        const double part = one.area_m2 / sum.area_m2;
        sum.direct += part * one.direct;
        sum.sky += part * one.sky;
        sum.ground += part * one.ground;
        sum.bounced += part * one.bounced;
        sum.error = std::hypot(sum.error, part * one.error);
    }
    return sum;
}

// One long box or two that stand side by side to the same outline: the same shape for the sun.
TEST(SunSymmetry, SplittingABodyInTwoChangesNothing) {
    const Box other{"z", {0, 5, 0}, {8, 2.4, 2.9}, 10, Role::unit};
    const auto one = find({{"a", {0, 0, 0}, {8, 2.4, 2.6}, 0, Role::unit}, other}, 0, 0.5);
    const auto two = find({{"a", {0, 0, 0}, {5, 2.4, 2.6}, 0, Role::unit},
                           {"b", {5, 0, 0}, {3, 2.4, 2.6}, 0, Role::unit},
                           other},
                          0, 0.5);
    for (const std::string side : {"roof", "wall-n", "wall-s"}) {
        const SurfaceFigures whole = one.at("a/" + side);
        const SurfaceFigures halves = together(two, {"a/" + side, "b/" + side});
        EXPECT_NEAR(whole.area_m2, halves.area_m2, 1e-9);
        EXPECT_NEAR(halves.total(), whole.total(), 1.96 * std::hypot(whole.error, halves.error))
            << side;
    }
    for (const auto& [whole, half] :
         {std::pair{"a/wall-w", "a/wall-w"}, {"a/wall-e", "b/wall-e"}}) {
        EXPECT_NEAR(two.at(half).total(), one.at(whole).total(),
                    1.96 * std::hypot(one.at(whole).error, two.at(half).error))
            << whole;
    }
    EXPECT_EQ(two.at("a/wall-e").total(), 0);  // covered by the other half
    EXPECT_EQ(two.at("b/wall-w").total(), 0);
}

// Half the facet size: yearly sums move by less than the stated error bars of both.
TEST(SunSymmetry, HalfTheFacetSizeMovesSumsByLessThanTheErrorBar) {
    const auto coarse = find(yard(), 0, 0.8), fine = find(yard(), 0, 0.4);
    ASSERT_EQ(coarse.size(), fine.size());
    int surfaces = 0, within = 0;
    for (const auto& [id, before] : coarse) {
        if (before.total() < 1000) continue;  // floors on the ground
        const double bar = 1.96 * std::hypot(before.error, fine.at(id).error);
        ++surfaces;
        const double moved = std::abs(fine.at(id).total() - before.total());
        within += moved <= bar + 1e-9 * before.total() ? 1 : 0;
        EXPECT_LE(moved, 0.005 * before.total()) << id << ", bar " << bar;
    }
    EXPECT_GT(surfaces, 12);
    EXPECT_GE(within, 0.95 * surfaces);
}

}  // namespace
}  // namespace noonshell
