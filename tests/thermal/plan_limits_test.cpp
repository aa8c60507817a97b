// Plans under limits, against enumeration of all plans by whole re-runs.
#include "thermal/plan_limits.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "tests/support/row_of_units.hpp"
#include "thermal/surface_planner.hpp"
#include "thermal/unit_figures.hpp"

namespace noonshell {
namespace {

using namespace test_models;

PlanLimits plant_limit(double limit_w) {
    return {limit_w, std::nullopt, std::nullopt};
}
PlanLimits cooling_limit(double limit_j_m2) {
    return {std::nullopt, limit_j_m2, std::nullopt};
}
PlanLimits too_hot_limit(double limit_h) {
    return {std::nullopt, std::nullopt, limit_h};
}

std::vector<Treatment> one_coat() {
    Treatment white;
    white.name = "white coat";
    white.cost_per_m2 = 10;
    white.surfaces = {"*/roof*", "*/wall-s", "left/wall-w"};
    return {white};
}

PlanOptions options_with(const Row& row, const PlanLimits& limits, double budget) {
    PlanOptions options;
    options.budget = budget;
    options.limits = limits;
    options.frontier_points = 4;
    options.trial_surroundings = &row.around_in_long_steps;
    options.daily_limit_c = adaptive_limits_c(weather_of_row(), AdaptiveModel::en_16798_category_2);
    return options;
}

Plan plan_under(const Row& row, const PlanOptions& options) {
    return make_plan(
        row.inputs(), row.building, one_coat(),
        [&](std::span<const double>) { return row.exposure; }, options);
}

/// The largest saving of all plans that meet the limits; below 0 where none does.
double best_under(const Row& row, const PlanOptions& options) {
    const auto treatments = one_coat();
    const std::vector<Finish> finishes = finishes_of(row.envelope, treatments);
    SurfacePlanner planner({.inputs = row.inputs(),
                            .base = row.building,
                            .treatments = treatments,
                            .finishes = finishes,
                            .options = options});
    planner.prepare();
    PlanRuns& runs = planner.runs();
    std::vector<Choice> all;
    for (unsigned bits = 0; bits < 1u << finishes.size(); ++bits) {
        Choice choice;
        for (std::size_t f = 0; f < finishes.size(); ++f) {
            if ((bits >> f & 1u) != 0) choice.push_back(f);
        }
        if (runs.cost(choice) <= options.budget) all.push_back(std::move(choice));
    }
    runs.run(all);
    double best = -1;
    for (const Choice& choice : all) {
        if (runs.excess(choice) <= 0) best = std::max(best, runs.burden({}) - runs.burden(choice));
    }
    return best;
}

double largest(const std::vector<Peak>& peaks) {
    double most = 0;
    for (const Peak& peak : peaks) most = std::max(most, peak.value);
    return most;
}

void expect_as_enumerated(const Row& row, const PlanLimits& limits, double budget, std::size_t& met,
                          std::size_t& refused) {
    const PlanOptions options = options_with(row, limits, budget);
    const double best = best_under(row, options);
    try {
        const Plan plan = plan_under(row, options);
        ASSERT_GE(best, 0) << "met what no plan meets, for " << budget;
        ++met;
        EXPECT_LE(plan.saving(), best * (1 + 1e-9)) << budget;
        EXPECT_GE(plan.saving(), 0.97 * best) << budget;
        EXPECT_LE(plan.cost, budget);
        const std::vector<LimitedUnit> limited = limited_units(limits, row.envelope);
        EXPECT_EQ(excess_of(limited, {plan.after, plan.too_hot_after}, row.envelope), 0);
    } catch (const InputError& error) {
        EXPECT_LT(best, 0) << error.what();
        EXPECT_NE(std::string(error.what()).find("best plan found"), std::string::npos);
        ++refused;
    }
}

TEST(PlanLimits, EqualEnumerationOrAreRefused) {
    const Row row(1800);
    const Plan free = plan_under(row, options_with(row, {}, 0));
    const double plant_w = largest(free.before.needed_capacity_w);
    double cooling_j_m2 = 0;
    for (std::size_t u = 0; u < free.before.n_units; ++u)
        cooling_j_m2 =
            std::max(cooling_j_m2, free.before.cooling_j[u] / row.envelope.units[u].floor_area_m2);
    std::size_t met = 0, refused = 0;
    for (const double share : {0.95, 0.85, 0.7}) {
        for (const double budget : {200.0, 500.0, 900.0}) {
            expect_as_enumerated(row, plant_limit(share * plant_w), budget, met, refused);
            expect_as_enumerated(row, cooling_limit(share * cooling_j_m2), budget, met, refused);
        }
    }
    EXPECT_GT(met, 3u);
    EXPECT_GT(refused, 3u);
}

TEST(PlanLimits, OfTimeTooHotEqualEnumeration) {
    const Row row(1800);
    PlanOptions asking = options_with(row, too_hot_limit(1e6), 0);
    const Plan free = plan_under(row, asking);
    double most_h = 0;
    for (const TooHot& unit : free.too_hot_before) most_h = std::max(most_h, unit.hours_h);
    ASSERT_GT(most_h, 4);
    std::size_t met = 0, refused = 0;
    for (const double hours_h : {most_h - 1, most_h - 3, 1.0}) {
        for (const double budget : {300.0, 900.0})
            expect_as_enumerated(row, too_hot_limit(hours_h), budget, met, refused);
    }
    EXPECT_GT(met, 0u);
    EXPECT_GT(refused, 0u);
}

/// A limit that the building meets as it stands changes nothing.
TEST(PlanLimits, ThatAreMetChangeNothing) {
    const Row row(1800);
    const Plan without = plan_under(row, options_with(row, {}, 500));
    const Plan with = plan_under(row, options_with(row, plant_limit(1e9), 500));
    EXPECT_EQ(without.burden_after, with.burden_after);
    EXPECT_EQ(without.cost, with.cost);
}

TEST(PlanLimits, RefusesWhatIsNoLimit) {
    const Row row(1800);
    EXPECT_THROW(plan_under(row, options_with(row, plant_limit(-1), 500)), InputError);
}

}  // namespace
}  // namespace noonshell
