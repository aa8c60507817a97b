#include "thermal/plan_worth.hpp"

#include <algorithm>
#include <iterator>

namespace noonshell {

namespace {

std::vector<std::size_t> only_in(const std::vector<std::size_t>& these,
                                 const std::vector<std::size_t>& not_those) {
    std::vector<std::size_t> only;
    std::ranges::set_difference(these, not_those, std::back_inserter(only));
    return only;
}

bool is_whole_year(std::size_t hours) {
    constexpr std::size_t hours_a_day = 24;
    return hours == 365 * hours_a_day || hours == 366 * hours_a_day;
}

}  // namespace

FirstMoney first_tenth(const Plan& plan) {
    constexpr double tenth = 0.1;
    FirstMoney first;
    for (const PlanStep& step : plan.steps) {
        if (first.purchases > 0 && step.cost_so_far > tenth * plan.cost) break;
        ++first.purchases;
        first.cost = step.cost_so_far;
        first.saves += step.saves;
    }
    return first;
}

std::optional<double> payback_years(const PlanStep& step, std::size_t hours) {
    if (!is_whole_year(hours) || step.saves_running <= 0) return std::nullopt;
    return step.cost / step.saves_running;
}

BudgetChange change_between(const FrontierPoint& before, const FrontierPoint& after) {
    BudgetChange change{.finishes_in = only_in(after.finishes, before.finishes),
                        .finishes_out = only_in(before.finishes, after.finishes),
                        .shades_in = only_in(after.shades, before.shades),
                        .shades_out = only_in(before.shades, after.shades),
                        .saves_per_cost = std::nullopt};
    if (after.cost > before.cost)
        change.saves_per_cost = (before.burden - after.burden) / (after.cost - before.cost);
    return change;
}

std::optional<std::size_t> bend_of(std::span<const FrontierPoint> frontier) {
    if (frontier.empty()) return std::nullopt;
    const auto saves = [&](const FrontierPoint& point) {
        return frontier.front().burden - point.burden;
    };
    double first = 0;
    for (const FrontierPoint& point : frontier)
        if (point.cost > 0) first = std::max(first, saves(point) / point.cost);
    // Where a line that rises by half of the first touches the curve from above.
    std::size_t bend = 0;
    double highest = 0;
    for (std::size_t i = 0; i < frontier.size(); ++i) {
        const double height = saves(frontier[i]) - first / 2 * frontier[i].cost;
        if (height > highest || (height == highest && frontier[i].cost > frontier[bend].cost)) {
            highest = height;
            bend = i;
        }
    }
    const bool more_is_spent = std::ranges::any_of(
        frontier, [&](const FrontierPoint& point) { return point.cost > frontier[bend].cost; });
    return first > 0 && more_is_spent ? std::optional(bend) : std::nullopt;
}

}  // namespace noonshell
