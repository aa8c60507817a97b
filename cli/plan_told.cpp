#include "cli/plan_told.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "cli/cautions.hpp"
#include "cli/json_parts.hpp"
#include "cli/page_parts.hpp"
#include "cli/plan_parts.hpp"
#include "cli/result_units.hpp"
#include "cli/run_page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"
#include "geometry/plain_text.hpp"
#include "thermal/plan_worth.hpp"

namespace noonshell {

namespace {

/// Hundredths count in a small budget.
std::string amount_text(const PlanResult& result, double amount) {
    constexpr double small_budget = 1000;
    return number(amount, result.plan.budget < small_budget ? 2 : 0);
}

std::string money(const PlanResult& result, double amount) {
    return fmt::format("{} {}", amount_text(result, amount),
                       printable(result.run.settings.plan.currency));
}

/// The goal's figure with its unit.
std::string in_unit(const PlanResult& result, double figure) {
    switch (result.plan.goal) {
        case PlanGoal::cooling_energy:
            return three_digits(kwh_of_joules(figure)) + " kWh";
        case PlanGoal::running_cost:
        case PlanGoal::present_value:
            return money(result, figure);
        case PlanGoal::too_hot:
            return three_digits(figure) + " K h";
        case PlanGoal::peak_load:
            return three_digits(kilowatts(figure)) + " kW";
    }
    return {};
}

constexpr double percent = 100;

/// Of a plan that buys something.
std::string first_money_of(const PlanResult& result) {
    const Plan& plan = result.plan;
    const FirstMoney first = first_tenth(plan);
    const double of_cost = plan.cost > 0 ? first.cost / plan.cost : 0;
    const double of_saving = plan.saving() > 0 ? first.saves / plan.saving() : 0;
    return fmt::format("  of that the first {} ({:.1f} %, {}) save {}, {:.1f} % of the saving\n",
                       money(result, first.cost), percent * of_cost,
                       counted(first.purchases, "purchase"), in_unit(result, first.saves),
                       percent * of_saving);
}

std::string summary_of(const PlanResult& result) {
    const Plan& plan = result.plan;
    std::string text = fmt::format("\nPlan for the least {} within {}\n", to_string(plan.goal),
                                   money(result, plan.budget));
    std::string on = counted(plan.steps.size() - plan.shades.size(), "surface");
    if (!plan.shades.empty()) on += " and " + counted(plan.shades.size(), "shade");
    text += fmt::format("  spends {} on {}; {} falls from {} to {}\n", money(result, plan.cost), on,
                        to_string(plan.goal), in_unit(result, plan.burden_before),
                        in_unit(result, plan.burden_after));
    if (plan.steps.empty()) return text;
    text += first_money_of(result);
    text += fmt::format("  saving as re-run {} ({} with its light found anew)\n",
                        in_unit(result, plan.saving()),
                        in_unit(result, plan.burden_before - plan.burden_checked));
    text += fmt::format(
        "  at most {:.1f} % is missed: no plan within the budget saves more than {}{},\n"
        "  if in none that promises as much the purchases help each other more than in those "
        "re-run\n",
        percent * plan.gap(), in_unit(result, plan.most_saving),
        plan.helping_share > 0
            ? fmt::format(" (single savings and {:.1f} %)", percent * plan.helping_share)
            : std::string());
    text += fmt::format(
        "  {} re-run; {} on one or two surfaces tried, {} of them in full; aged reflectances "
        "count\n",
        counted(plan.plans_run, "plan"), counted(plan.swaps_tried, "exchange"), plan.swaps_run);
    return text;
}

/// Name of the column of what a purchase saves of the goal's figure; empty where the columns that
/// every plan has tell it.
std::string goal_column(const PlanResult& result) {
    switch (result.plan.goal) {
        case PlanGoal::too_hot:
            return "saves K h";
        case PlanGoal::present_value:
            return "saves value";
        case PlanGoal::cooling_energy:
        case PlanGoal::running_cost:
        case PlanGoal::peak_load:
            break;
    }
    return {};
}

std::string steps_of(const PlanResult& result) {
    const Plan& plan = result.plan;
    if (plan.steps.empty()) return {};
    const std::vector<double>& stays = plan.confidence.stays;
    std::vector<TextTable::Column> columns = {{"#", Align::right},
                                              {"surface"},
                                              {"buy"},
                                              {"area m2", Align::right},
                                              {"cost", Align::right},
                                              {"so far", Align::right},
                                              {"saves kWh", Align::right},
                                              {"peak kW", Align::right},
                                              {"bill", Align::right},
                                              {"payback y", Align::right}};
    const std::string in_goal = goal_column(result);
    if (!in_goal.empty()) columns.insert(columns.begin() + 6, {in_goal, Align::right});
    if (!stays.empty()) columns.push_back({"sure %", Align::right});
    columns.push_back({"why here"});
    TextTable table(std::move(columns));
    for (std::size_t i = 0; i < plan.steps.size(); ++i) {
        const PlanStep& step = plan.steps[i];
        Bought bought = bought_by(result, step);
        const std::optional<double> payback = payback_of(result, step);
        std::vector<std::string> row = {std::to_string(i + 1),
                                        std::move(bought.where),
                                        std::move(bought.what),
                                        number(bought.area_m2, 1),
                                        amount_text(result, step.cost),
                                        amount_text(result, step.cost_so_far),
                                        three_digits(kwh_of_joules(step.saves_cooling_j)),
                                        number(kilowatts(step.saves_peak_w), 2),
                                        amount_text(result, step.saves_running),
                                        payback ? number(*payback, 1) : "-"};
        if (!in_goal.empty()) row.insert(row.begin() + 6, three_digits(step.saves));
        if (!stays.empty()) row.push_back(step.shade ? "-" : number(percent * stays[i]));
        row.push_back(std::move(bought.why));
        table.add_row(std::move(row));
    }
    return fmt::format(
               "\nWhat to buy, in order (costs and bill in {}; savings of sensible cooling, of its "
               "peaks and of the\n  electricity bill over the period{}: what each adds to those "
               "before it; payback: cost over\n  what a whole year's bill becomes less, - where "
               "there is no such)\n",
               printable(result.run.settings.plan.currency),
               in_goal.empty() ? std::string() : fmt::format(", of {}", to_string(plan.goal))) +
           table.text();
}

std::string sureness_of(const PlanResult& result) {
    const PlanConfidence& confidence = result.plan.confidence;
    if (confidence.samples == 0 || result.plan.steps.empty()) return {};
    std::string text = fmt::format(
        "\nHow sure ({} of the uncertain inputs, each planned anew; `sure`: share of them "
        "in "
        "which\n  a purchase stays)\n  the plan saves {} to {} in 90 % of the samples\n",
        counted(confidence.samples, "sample"), in_unit(result, confidence.saving_low),
        in_unit(result, confidence.saving_high));
    if (result.run.settings.plan.limits.any())
        text += fmt::format("  no unit is above a limit in {:.0f} % of the samples\n",
                            100 * confidence.within_limits);
    TextTable table({{"input"}, {"moves saving", Align::right}, {"moves plan", Align::right}});
    constexpr std::size_t most_inputs = 8;
    for (std::size_t i = 0; i < std::min(most_inputs, confidence.inputs.size()); ++i) {
        const InputWeight& weight = confidence.inputs[i];
        table.add_row({input_name(result, weight.input), number(weight.on_saving, 2),
                       number(weight.on_plan, 2)});
    }
    return text + table.text();
}

std::string shopping_of(const PlanResult& result) {
    const Plan& plan = result.plan;
    if (plan.steps.empty()) return {};
    TextTable table({{"treatment"},
                     {"surfaces", Align::right},
                     {"area m2", Align::right},
                     {"order m2", Align::right},
                     {"cost", Align::right},
                     {"life years", Align::right},
                     {"cost/life", Align::right},
                     {"upkeep/year", Align::right}});
    for (const Needed& needed : shopping_list(result))
        table.add_row({needed.name, std::to_string(needed.surfaces), number(needed.area_m2, 1),
                       number(needed.ordered_m2, 1), amount_text(result, needed.cost),
                       number(needed.life_years), amount_text(result, needed.worn_per_year),
                       amount_text(result, needed.upkeep_per_year)});
    std::string text = "\nShopping list (net areas; to order with waste)\n" + table.text();
    if (plan.calls.empty()) return text;
    std::map<std::string, std::pair<std::size_t, double>> calls;
    for (const CallOut& call : plan.calls) {
        auto& [count, cost] = calls[call.kind];
        ++count;
        cost += call.cost;
    }
    for (const auto& [kind, told] : calls)
        text += fmt::format("  call-outs: {} for {}, {}\n", printable(kind),
                            counted(told.first, "unit"), money(result, told.second));
    return text;
}

/// What was tried of every planned shade, whether the plan builds it or not.
std::string shades_tried(const PlanResult& result) {
    const Plan& plan = result.plan;
    if (plan.shade_trials.empty()) return {};
    TextTable table({{"shade"},
                     {"size"},
                     {"area m2", Align::right},
                     {"cost", Align::right},
                     {"alone saves", Align::right},
                     {"in the plan"}});
    for (std::size_t t = 0; t < plan.shade_trials.size(); ++t) {
        const ShadeTrial& trial = plan.shade_trials[t];
        const bool built = std::ranges::find(plan.shades, t) != plan.shades.end();
        table.add_row({shade_name(result, trial), shade_text(result, trial),
                       number(trial.area_m2, 1), amount_text(result, trial.cost),
                       in_unit(result, trial.alone), built ? "yes" : ""});
    }
    return "\nShades tried, each traced alone on the building (costs without call-outs)\n" +
           table.text();
}

/// What less of the goal's figure for 1 of the currency is told in.
std::string per_cost_column(PlanGoal goal) {
    switch (goal) {
        case PlanGoal::cooling_energy:
            return "kWh/cost";
        case PlanGoal::too_hot:
            return "K h/cost";
        case PlanGoal::peak_load:
            return "W/cost";
        case PlanGoal::running_cost:
        case PlanGoal::present_value:
            break;
    }
    return "saved/cost";
}

/// Of all budgets or of every second one, the plan's own and the bend in any case.
std::vector<std::size_t> budgets_to_tell(const Plan& plan, bool more) {
    const std::optional<std::size_t> bend = bend_of(plan.frontier);
    std::vector<std::size_t> told;
    for (std::size_t i = 0; i < plan.frontier.size(); ++i) {
        const bool wanted = more || i % 2 == 0 || i + 1 == plan.frontier.size() || i == bend ||
                            plan.frontier[i].budget == plan.budget;
        if (wanted) told.push_back(i);
    }
    return told;
}

std::string frontier_of(const PlanResult& result, bool more) {
    const Plan& plan = result.plan;
    std::vector<TextTable::Column> columns = {{"budget", Align::right},
                                              {"spent", Align::right},
                                              {"surfaces", Align::right},
                                              {"in", Align::right},
                                              {"out", Align::right},
                                              {std::string(to_string(plan.goal)), Align::right},
                                              {per_cost_column(plan.goal), Align::right}};
    // The goal's own figure is this one.
    const bool with_cooling = plan.goal != PlanGoal::cooling_energy;
    if (with_cooling) columns.push_back({"cooling kWh", Align::right});
    TextTable table(std::move(columns));
    const FrontierPoint* above = plan.frontier.data();
    for (const std::size_t i : budgets_to_tell(plan, more)) {
        const FrontierPoint& point = plan.frontier[i];
        const BudgetChange change = change_between(*std::exchange(above, &point), point);
        const char* mark = point.budget == plan.budget ? " *" : point.meets_limits ? "  " : " !";
        std::vector<std::string> row = {
            amount_text(result, point.budget) + mark,
            amount_text(result, point.cost),
            std::to_string(point.finishes.size()) +
                (point.shades.empty() ? "" : "+" + std::to_string(point.shades.size())),
            std::to_string(change.finishes_in.size() + change.shades_in.size()),
            std::to_string(change.finishes_out.size() + change.shades_out.size()),
            in_unit(result, point.burden),
            change.saves_per_cost ? three_digits(in_told_unit(plan.goal, *change.saves_per_cost))
                                  : "-"};
        if (with_cooling) row.push_back(three_digits(kwh_of_joules(point.cooling_j)));
        table.add_row(std::move(row));
    }
    const bool limited = std::ranges::any_of(
        plan.frontier, [](const FrontierPoint& point) { return !point.meets_limits; });
    std::string text = fmt::format(
        "\nWhat other budgets reach (* this plan{}{}; in, out: purchases beside the row above; {}: "
        "what\n  the money spent beyond that row saves)\n",
        plan.shade_trials.empty() ? "" : "; surfaces+shades", limited ? "; ! above a limit" : "",
        per_cost_column(plan.goal));
    text += table.text();
    if (const auto bend = bend_of(plan.frontier))
        text += fmt::format(
            "  beyond {} the next money saves less than half of what the first did for its cost\n",
            money(result, plan.frontier[*bend].budget));
    return text;
}

std::string units_before_and_after(const PlanResult& result) {
    const Response &before = result.plan.before, &after = result.plan.after;
    std::vector<TextTable::Column> columns = {{"unit"},
                                              {"sensible kWh", Align::right},
                                              {"with plan", Align::right},
                                              {"sensible peak kW", Align::right},
                                              {"with plan", Align::right},
                                              {"plant kW", Align::right},
                                              {"with plan", Align::right}};
    const bool free = !result.plan.too_hot_after.empty();
    if (free) {
        columns.push_back({"too hot h", Align::right});
        columns.push_back({"with plan", Align::right});
    }
    TextTable table(std::move(columns));
    for (std::size_t u = 0; u < before.n_units; ++u) {
        std::vector<std::string> row = {result.run.envelope().units[u].id,
                                        three_digits(kwh_of_joules(before.cooling_j[u])),
                                        three_digits(kwh_of_joules(after.cooling_j[u])),
                                        number(kilowatts(before.peak_cooling_w[u].value), 2),
                                        number(kilowatts(after.peak_cooling_w[u].value), 2),
                                        number(kilowatts(before.needed_capacity_w[u].value), 2),
                                        number(kilowatts(after.needed_capacity_w[u].value), 2)};
        if (free) {
            row.push_back(number(result.plan.too_hot_before[u].hours_h));
            row.push_back(number(result.plan.too_hot_after[u].hours_h));
        }
        table.add_row(std::move(row));
    }
    return "\nUnits (sensible: cooling without the vapour's; plant: with it)\n" + table.text();
}

}  // namespace

std::string plan_page(const PlanResult& result, bool more) {
    return head_of(result.run) + losses_of(result.run.warnings) + summary_of(result) +
           steps_of(result) + sureness_of(result) + shopping_of(result) + shades_tried(result) +
           frontier_of(result, more) + units_before_and_after(result) +
           warnings_page(result.run.warnings, more) + cautions_page(result.run.offers_film()) +
           (more ? defaults_of(result.run) : std::string());
}

}  // namespace noonshell
