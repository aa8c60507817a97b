// What the money of a plan is worth, part by part: its first tenth, the years until a purchase has
// paid for itself, and what the next money buys.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "thermal/planner.hpp"

namespace noonshell {

/// The first purchases of a plan.
struct FirstMoney {
    std::size_t purchases = 0;
    double cost = 0;   ///< with call-outs
    double saves = 0;  ///< of the goal's figure
};
/// Purchases in order as long as all up to them cost no more than a tenth of what the plan spends,
/// at least one; none of an empty plan.
FirstMoney first_tenth(const Plan& plan);

/// Simple payback, as any textbook of engineering economy has it: cost with call-outs over what a
/// year's running costs become less, prices as they are, nothing discounted [years]. None where
/// nothing is saved, and where the period of `hours` hours is no whole year.
std::optional<double> payback_years(const PlanStep& step, std::size_t hours);

/// From one budget of the frontier to another.
struct BudgetChange {
    std::vector<std::size_t> finishes_in, finishes_out;  ///< indices into Plan::finishes, ascending
    std::vector<std::size_t> shades_in, shades_out;      ///< into Plan::shade_trials
    /// What the goal's figure falls for each [currency] spent more; none where no more is spent.
    std::optional<double> saves_per_cost;
};
BudgetChange change_between(const FrontierPoint& before, const FrontierPoint& after);

/// Of points in the order of their budgets, the first to buy nothing: the smallest budget beyond
/// which, up to any larger one, more money saves less than half of what the first money does per
/// cost: that of the budget that saves most for its cost. None where nothing is spent beyond.
std::optional<std::size_t> bend_of(std::span<const FrontierPoint> frontier);

}  // namespace noonshell
