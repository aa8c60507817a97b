// Loads of rooms whose plants are too small, in ranking and plan: those of whole runs without a
// limit.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "tests/support/row_of_units.hpp"
#include "thermal/planner.hpp"
#include "thermal/ranking.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {
namespace {

using namespace test_models;

std::vector<Treatment> paint_and_foam() {
    Treatment paint;
    paint.name = "paint";
    paint.cost_per_m2 = 10;
    paint.surfaces = {"*/roof*", "*/wall-s"};
    Treatment foam = paint;
    foam.name = "foam";
    foam.kind = TreatmentKind::outside_insulation;
    foam.cost_per_m2 = 40;
    foam.aged_reflectance = 0.4;
    foam.added = {{{"foam", 0.03, 30, 1400, "test"}, 0.05, std::nullopt}};
    return {paint, foam};
}

/// Plants of half or two thirds of what the rooms ask for.
struct PoorRow : Row {
    Response ideal;

    explicit PoorRow(double step_s = 600) : Row(step_s) {
        ideal = simulate(inputs(), building);
        const double shares[] = {0.5, 0.67, 0.6};
        for (std::size_t u = 0; u < 3; ++u)
            building.rooms[u].plant.rated_capacity_w = shares[u] * ideal.needed_capacity_w[u].value;
    }
};

/// The building with finishes, all plants without a limit, as a whole.
Response whole_unlimited(const Row& row, const std::vector<Treatment>& treatments,
                         const std::vector<Finish>& finishes) {
    Building changed = without_limits(row.building);
    for (const Finish& finish : finishes) {
        Construction& surface = changed.exposed[finish.surface.index()];
        surface = finished(surface, finish, treatments);
    }
    return simulate(row.inputs(), changed);
}

double sum_of_peaks(const Response& run) {
    return std::accumulate(run.peak_cooling_w.begin(), run.peak_cooling_w.end(), 0.0,
                           [](double sum, const Peak& peak) { return sum + peak.value; });
}

TEST(LimitedPlantLoads, RankingSavesThePeaksOfUnlimitedRuns) {
    const PoorRow row;
    const auto treatments = paint_and_foam();
    Trace trace;
    const Response before = simulate(row.inputs(), row.building, {}, &trace);
    ASSERT_TRUE(reached_limits(before));
    const Ranking ranking = rank_surfaces(row.inputs(), row.building, treatments, before, trace);
    ASSERT_EQ(ranking.effects.size(), 12u);
    double largest_error_of_clipped_w = 0;
    for (const Effect& effect : ranking.effects) {
        const Surface& surface = row.envelope.surfaces[effect.surface.index()];
        const std::size_t u = surface.unit.index();
        const Response after =
            whole_unlimited(row, treatments, {{effect.surface, {effect.treatment}}});
        EXPECT_NEAR(effect.saves_peak_w,
                    row.ideal.peak_cooling_w[u].value - after.peak_cooling_w[u].value, 2.0)
            << surface.id;
        Building poor = row.building;
        Construction& own = poor.exposed[effect.surface.index()];
        own = treated(own, treatments[effect.treatment]);
        const double clipped_w =
            before.peak_cooling_w[u].value - simulate(row.inputs(), poor).peak_cooling_w[u].value;
        largest_error_of_clipped_w =
            std::max(largest_error_of_clipped_w, std::abs(clipped_w - effect.saves_peak_w));
    }
    EXPECT_GT(largest_error_of_clipped_w, 100) << "else the test shows nothing";
}

/// The unlimited run that the caller has made already says the same.
TEST(LimitedPlantLoads, RankingTakesTheRunThatIsThere) {
    const PoorRow row;
    const auto treatments = paint_and_foam();
    Trace trace;
    const Response before = simulate(row.inputs(), row.building, {}, &trace);
    const auto unlimited = unlimited_run(row.inputs(), row.building, before, {}, true);
    ASSERT_TRUE(unlimited);
    const Ranking made = rank_surfaces(row.inputs(), row.building, treatments, before, trace);
    RankingOptions options;
    options.unlimited = &*unlimited;
    const Ranking given =
        rank_surfaces(row.inputs(), row.building, treatments, before, trace, options);
    for (std::size_t i = 0; i < made.effects.size(); ++i) {
        EXPECT_EQ(made.effects[i].saves_peak_w, given.effects[i].saves_peak_w);
        EXPECT_EQ(made.effects[i].saves_cooling_j, given.effects[i].saves_cooling_j);
    }
}

/// A plant that is never at its limit needs no second run.
TEST(LimitedPlantLoads, AnAmplePlantIsAnIdealOne) {
    Row row;
    const Response ideal = simulate(row.inputs(), row.building);
    for (std::size_t u = 0; u < 3; ++u)
        row.building.rooms[u].plant.rated_capacity_w = 1.01 * ideal.needed_capacity_w[u].value;
    const Response ample = simulate(row.inputs(), row.building);
    EXPECT_FALSE(reached_limits(ample));
    EXPECT_TRUE(has_limits(row.building));
    EXPECT_FALSE(unlimited_run(row.inputs(), row.building, ample, {}));
    for (std::size_t u = 0; u < 3; ++u)
        EXPECT_NEAR(ample.peak_cooling_w[u].value / ideal.peak_cooling_w[u].value, 1, 1e-6);
}

Plan plan_for(const Row& row, PlanGoal goal, double budget, const PlanLimits& limits = {}) {
    PlanOptions options;
    options.goal = goal;
    options.budget = budget;
    options.limits = limits;
    options.frontier_points = 4;
    options.trial_surroundings = &row.around_in_long_steps;
    return make_plan(
        row.inputs(), row.building, paint_and_foam(),
        [&](std::span<const double>) { return row.exposure; }, options);
}

std::vector<Finish> bought(const Plan& plan, std::size_t n_steps) {
    std::vector<Finish> finishes;
    for (std::size_t i = 0; i < n_steps; ++i)
        finishes.push_back(plan.finishes[plan.steps[i].finish]);
    return finishes;
}

/// Whatever the goal, each step's fall of the peaks is that of two whole runs without limits.
TEST(LimitedPlantLoads, PlanStepsSaveThePeaksOfUnlimitedRuns) {
    const PoorRow row;
    const auto treatments = paint_and_foam();
    for (const PlanGoal goal : {PlanGoal::cooling_energy, PlanGoal::peak_load}) {
        const Plan plan = plan_for(row, goal, 900);
        ASSERT_GT(plan.steps.size(), 1u);
        for (std::size_t i = 0; i < plan.steps.size(); ++i) {
            const double before = sum_of_peaks(whole_unlimited(row, treatments, bought(plan, i)));
            const double after =
                sum_of_peaks(whole_unlimited(row, treatments, bought(plan, i + 1)));
            EXPECT_NEAR(plan.steps[i].saves_peak_w, before - after, 1e-3 * before);
        }
        EXPECT_NEAR(sum_of_peaks(plan.before), sum_of_peaks(row.ideal), 1e-6);
        EXPECT_NEAR(sum_of_peaks(plan.after),
                    sum_of_peaks(whole_unlimited(row, treatments, bought(plan, plan.steps.size()))),
                    1e-3 * sum_of_peaks(plan.after));
        if (goal == PlanGoal::peak_load) {
            EXPECT_EQ(plan.burden_before, sum_of_peaks(plan.before));
        }
        // The energies stay those of the plants that are there.
        const Response with_plants = simulate(row.inputs(), row.building);
        for (std::size_t u = 0; u < 3; ++u)
            EXPECT_EQ(plan.before.cooling_j[u], with_plants.cooling_j[u]);
    }
}

/// What is asked of plants does not depend on what they can do: nor does the plan for the least of
/// it, nor one that holds it under a limit.
TEST(LimitedPlantLoads, PlansForPeaksAreThoseOfIdealPlants) {
    const PoorRow poor;
    const Row ideal;
    const PlanLimits none;
    const PlanLimits limit{.plant_w = 0.8 * poor.ideal.needed_capacity_w[1].value,
                           .cooling_j_m2 = {},
                           .hours_too_hot_h = {}};
    for (const PlanLimits& limits : {none, limit}) {
        const Plan a = plan_for(poor, PlanGoal::peak_load, 1500, limits);
        const Plan b = plan_for(ideal, PlanGoal::peak_load, 1500, limits);
        ASSERT_EQ(a.steps.size(), b.steps.size());
        for (std::size_t i = 0; i < a.steps.size(); ++i) {
            EXPECT_EQ(a.steps[i].finish, b.steps[i].finish);
            EXPECT_EQ(a.steps[i].saves, b.steps[i].saves);
        }
        EXPECT_EQ(a.burden_after, b.burden_after);
        for (std::size_t u = 0; u < 3; ++u)
            EXPECT_EQ(a.after.needed_capacity_w[u].value, b.after.needed_capacity_w[u].value);
    }
    // With energies and a limit of plants together.
    const Plan both = plan_for(poor, PlanGoal::cooling_energy, 1500, limit);
    for (std::size_t u = 0; u < 3; ++u)
        EXPECT_LE(both.after.needed_capacity_w[u].value, *limit.plant_w * (1 + 1e-6));
    EXPECT_THROW(plan_for(poor, PlanGoal::cooling_energy, 100, limit), InputError);
}

}  // namespace
}  // namespace noonshell
