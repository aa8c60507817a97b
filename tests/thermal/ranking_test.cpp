// Effects of single treatments against whole re-runs, order, symmetry and repeatability.
#include "thermal/ranking.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"
#include "solar/weather.hpp"
#include "tests/support/box_model.hpp"
#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

std::vector<Treatment> two_treatments() {
    Treatment white;
    white.name = "white coat";
    white.cost_per_m2 = 10;
    Treatment wrap;
    wrap.name = "wrap";
    wrap.kind = TreatmentKind::outside_insulation;
    wrap.cost_per_m2 = 70;
    wrap.aged_reflectance = 0.4;
    wrap.added = {{{"foam", 0.03, 30, 1400, "test"}, 0.05, std::nullopt}};
    return {white, wrap};
}

struct Ranked {
    Row row;
    Trace trace;
    Response before;
    Ranking ranking;

    explicit Ranked(unsigned threads = 0) {
        before = simulate(row.inputs(), row.building, {}, &trace);
        RankingOptions options;
        options.threads = threads;
        ranking =
            rank_surfaces(row.inputs(), row.building, two_treatments(), before, trace, options);
    }
};

TEST(Ranking, EveryExposedRoofAndWallIsTried) {
    const Ranked r;
    // 3 roofs and 12 walls less the 4 in contact; floors do not match the patterns.
    EXPECT_EQ(r.ranking.effects.size(), 2u * (3 + 12 - 4));
    EXPECT_EQ(r.ranking.order.size(), 11u);
    EXPECT_EQ(r.ranking.rank[5], 0u);
}

/// The part re-run leaves rooms beyond the neighbours as they were; here every unit is a neighbour
/// of the middle one, so its effects must equal those of a whole run, and those of the end units
/// differ only by what the far end would feel.
TEST(Ranking, EffectsEqualWholeReRuns) {
    const Ranked r;
    for (const Effect& e : r.ranking.effects) {
        Building changed = r.row.building;
        const std::size_t s = e.surface.index();
        changed.exposed[s] = treated(changed.exposed[s], two_treatments()[e.treatment]);
        const Response after = simulate(r.row.inputs(), changed);
        double saved = 0;
        for (std::size_t u = 0; u < 3; ++u) saved += r.before.cooling_j[u] - after.cooling_j[u];
        EXPECT_NEAR(e.saves_cooling_j, saved, 0.01 * std::abs(saved))
            << r.row.envelope.surfaces[s].id;
        const std::size_t unit = r.row.envelope.surfaces[s].unit.index();
        EXPECT_NEAR(e.saves_peak_w,
                    r.before.peak_cooling_w[unit].value - after.peak_cooling_w[unit].value, 2.0);
    }
}

/// On bare steel in the sun the white roof is the first purchase (common practice, no source).
TEST(Ranking, WhiteRoofComesFirst) {
    const Ranked r;
    const std::size_t first = r.ranking.order.front().index();
    EXPECT_EQ(r.row.envelope.surfaces[first].kind, SurfaceKind::roof);
    double best = -1;
    std::size_t best_treatment = 99;
    for (const Effect& e : r.ranking.effects) {
        if (e.surface.index() == first && e.saves_kwh_per_cost() > best) {
            best = e.saves_kwh_per_cost();
            best_treatment = e.treatment;
        }
    }
    EXPECT_EQ(best_treatment, 0u);
    EXPECT_EQ(r.ranking.rank[first], 1u);
}

TEST(Ranking, OrderFallsAndRanksCountUp) {
    const Ranked r;
    std::vector<double> best(18, -1e300);
    for (const Effect& e : r.ranking.effects) {
        best[e.surface.index()] = std::max(best[e.surface.index()], e.saves_kwh_per_cost());
    }
    for (std::size_t i = 0; i + 1 < r.ranking.order.size(); ++i) {
        EXPECT_GE(best[r.ranking.order[i].index()], best[r.ranking.order[i + 1].index()]);
        EXPECT_EQ(r.ranking.rank[r.ranking.order[i].index()], i + 1);
    }
}

TEST(Ranking, SameBytesWithOneAndTwoThreads) {
    const Ranked one(1), two(2);
    ASSERT_EQ(one.ranking.effects.size(), two.ranking.effects.size());
    for (std::size_t i = 0; i < one.ranking.effects.size(); ++i) {
        const Effect &a = one.ranking.effects[i], &b = two.ranking.effects[i];
        EXPECT_EQ(std::memcmp(&a.saves_cooling_j, &b.saves_cooling_j, sizeof(double)), 0);
        EXPECT_EQ(std::memcmp(&a.saves_peak_w, &b.saves_peak_w, sizeof(double)), 0);
        EXPECT_EQ(std::memcmp(&a.lowers_peak_steel_k, &b.lowers_peak_steel_k, sizeof(double)), 0);
    }
}

/// Nothing is cooled, nothing can be saved: no surface has a rank, but what each treatment does to
/// the steel is told.
TEST(Ranking, WithoutCoolingThereIsNoOrder) {
    Row row;
    const Building free = free_running(row.building);
    Trace trace;
    const Response before = simulate(row.inputs(), free, {}, &trace);
    const Ranking ranking = rank_surfaces(row.inputs(), free, two_treatments(), before, trace);
    EXPECT_TRUE(ranking.order.empty());
    EXPECT_EQ(ranking.rank, std::vector<std::uint32_t>(row.envelope.surfaces.size(), 0));
    ASSERT_EQ(ranking.effects.size(), 2u * (3 + 12 - 4));
    double coolest_k = 0;
    for (const Effect& e : ranking.effects) {
        EXPECT_EQ(e.saves_cooling_j, 0);
        coolest_k = std::max(coolest_k, e.lowers_peak_steel_k);
    }
    EXPECT_GT(coolest_k, 5);
}

TEST(Ranking, StopFlagInterrupts) {
    Row row;
    Trace trace;
    const Response before = simulate(row.inputs(), row.building, {}, &trace);
    const std::atomic<bool> stop{true};
    RankingOptions options;
    options.stop = &stop;
    EXPECT_THROW(
        rank_surfaces(row.inputs(), row.building, two_treatments(), before, trace, options),
        Interrupted);
}

/// A traced yard: a box half on top of another, a third across a narrow yard, a canopy close above
/// it. Every effect against a whole re-run in new light.
TEST(Ranking, EffectsInATracedYardEqualWholeReRuns) {
    const BoxModel model = box_model({{"low", {0, 0, 0.3}, {6, 2.4, 2.6}},
                                      {"top", {3, 0, 2.91}, {6, 2.4, 2.6}},
                                      {"tall", {0, 4, 0.3}, {9, 2.4, 2.9}},
                                      {"canopy", {0, 4, 3.9}, {9, 2.4, 0.05}, 0, Role::shade}});
    EnvelopeOptions geometry;
    geometry.ground_z_m = 0;
    const Envelope envelope = build_envelope(model.model, model.roles, geometry);
    const Site site{.latitude_deg = 27, .utc_offset_h = 0, .ground_albedo = 0.4};
    const Weather weather = design_day_weather(site, {}, 2023);
    const SunPath path = sun_path(site, weather, 1200);
    const RayScene scene(envelope.blockers);
    const ExchangeMatrix exchange = trace_exchange(envelope, scene);
    const Sunlight sunlight = trace_sunlight(envelope, scene, path, weather);
    const auto light = [&](const Building& building) {
        return expose(envelope, site, weather, path, sunlight, exchange,
                      outside_reflectance(building));
    };
    Building base = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
    for (RoomSettings& room : base.rooms) room.cooled = true;
    const Surroundings around = make_surroundings(site, weather, {.step_s = 900});
    const Exposure before_light = light(base);
    Trace trace;
    const HeatInputs inputs{envelope, exchange, before_light, around};
    const Response before = simulate(inputs, base, {}, &trace);
    const Ranking ranking = rank_surfaces(inputs, base, two_treatments(), before, trace);
    ASSERT_GT(ranking.effects.size(), 20u);
    double largest = 0, worst = 0;
    for (const Effect& e : ranking.effects) {
        Building changed = base;
        Construction& c = changed.exposed[e.surface.index()];
        c = treated(c, two_treatments()[e.treatment]);
        const Exposure after_light = light(changed);
        const Response after = simulate({envelope, exchange, after_light, around}, changed);
        double saved = 0;
        for (std::size_t u = 0; u < envelope.units.size(); ++u) {
            saved += before.cooling_j[u] - after.cooling_j[u];
        }
        EXPECT_NEAR(e.saves_cooling_j, saved, 0.03 * std::abs(saved) + 3.6e4)
            << envelope.surfaces[e.surface.index()].id << " " << e.treatment;
        largest = std::max(largest, saved);
        worst = std::max(worst, std::abs(e.saves_cooling_j - saved) / std::abs(saved));
    }
    EXPECT_GT(largest, 1e6);
    RecordProperty("worst_share", std::to_string(worst));
}

/// A coat darker than the steel saves nothing anywhere: nothing to recommend, though the rooms are
/// cooled. With white paint among the treatments only surfaces where that saves have a rank.
TEST(Ranking, WhatSavesNothingHasNoRank) {
    const Row row;
    Trace trace;
    const Response before = simulate(row.inputs(), row.building, {}, &trace);
    Treatment black = two_treatments()[0];
    black.name = "black";
    black.aged_reflectance = 0.02;
    black.new_reflectance = 0.05;
    const Ranking harm = rank_surfaces(row.inputs(), row.building, {black}, before, trace);
    EXPECT_TRUE(harm.order.empty());
    EXPECT_EQ(harm.rank, std::vector<std::uint32_t>(row.envelope.surfaces.size(), 0));
    ASSERT_EQ(harm.effects.size(), 11u);
    for (const Effect& e : harm.effects) EXPECT_LT(e.saves_cooling_j, 0);

    // A coat like the wall itself moves nothing but the last digits of the iterations.
    Treatment same = two_treatments()[0];
    same.name = "same";
    same.aged_reflectance = 1 - row.building.exposed[0].outside_absorptance;
    same.new_reflectance = std::max(same.new_reflectance, same.aged_reflectance);
    same.emittance = row.building.exposed[0].outside_emittance;
    const Ranking idle = rank_surfaces(row.inputs(), row.building, {same}, before, trace);
    EXPECT_TRUE(idle.order.empty());
    EXPECT_FALSE(idle.effects.empty());

    Treatment white_roofs = two_treatments()[0];
    white_roofs.surfaces = {"*/roof"};
    const Ranking mixed =
        rank_surfaces(row.inputs(), row.building, {black, white_roofs}, before, trace);
    EXPECT_EQ(mixed.order.size(), 3u);
    for (const Effect& e : mixed.effects) {
        const std::uint32_t rank = mixed.rank[e.surface.index()];
        const bool roof = row.envelope.surfaces[e.surface.index()].kind == SurfaceKind::roof;
        EXPECT_EQ(rank > 0, roof);
    }
}

}  // namespace
}  // namespace noonshell