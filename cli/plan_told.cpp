#include "cli/plan_told.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "cli/cautions.hpp"
#include "cli/csv_text.hpp"
#include "cli/json_parts.hpp"
#include "cli/page_parts.hpp"
#include "cli/result_units.hpp"
#include "cli/run_page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"
#include "geometry/plain_text.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 12> month_names = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};

std::string money(const PlanResult& result, double amount) {
    return fmt::format("{} {}", number(amount), printable(result.run.settings.plan.currency));
}

/// The goal's figure with its unit.
std::string in_unit(const PlanResult& result, double figure) {
    switch (result.plan.goal) {
        case PlanGoal::cooling_energy:
            return three_digits(kwh_of_joules(figure)) + " kWh";
        case PlanGoal::running_cost:
            return money(result, figure);
        case PlanGoal::peak_load:
            return three_digits(kilowatts(figure)) + " kW";
    }
    return {};
}

double sum_of(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values) sum += value;
    return sum;
}

double peaks_of(const Response& response) {
    double sum = 0;
    for (const Peak& peak : response.peak_cooling_w) sum += peak.value;
    return sum;
}

double electricity_of(const Response& response) {
    return sum_of(response.cooling_electricity_j) + sum_of(response.heating_electricity_j) +
           sum_of(response.fan_electricity_j);
}

std::string finish_text(const PlanResult& result, const Finish& finish) {
    return finish_name(finish, result.run.settings.treatments);
}

std::string summary_of(const PlanResult& result) {
    const Plan& plan = result.plan;
    std::string text = fmt::format("\nPlan for the least {} within {}\n", to_string(plan.goal),
                                   money(result, plan.budget));
    text += fmt::format("  spends {} on {}; {} falls from {} to {}\n", money(result, plan.cost),
                        counted(plan.steps.size(), "surface"), to_string(plan.goal),
                        in_unit(result, plan.burden_before), in_unit(result, plan.burden_after));
    if (plan.steps.empty()) return text;
    text += fmt::format("  saving as re-run {} ({} with its light found anew)\n",
                        in_unit(result, plan.saving()),
                        in_unit(result, plan.burden_before - plan.burden_checked));
    text += fmt::format(
        "  at most {:.1f} % is missed: no plan within the budget saves more than {}, if purchases\n"
        "  {}\n",
        100 * plan.gap(), in_unit(result, plan.most_saving),
        plan.helping_share > 0
            ? fmt::format("help each other by no more than the {:.1f} % seen in the plans re-run",
                          100 * plan.helping_share)
            : std::string("do not help each other (in the plans re-run none did)"));
    text += fmt::format(
        "  {} re-run, {} of them exchanges on one or two surfaces; aged reflectances count\n",
        counted(plan.plans_run, "plan"), plan.swaps_run);
    return text;
}

std::string steps_of(const PlanResult& result) {
    const Plan& plan = result.plan;
    if (plan.steps.empty()) return {};
    TextTable table({{"#", Align::right},
                     {"surface"},
                     {"buy"},
                     {"area m2", Align::right},
                     {"cost", Align::right},
                     {"so far", Align::right},
                     {"saves kWh", Align::right},
                     {"peak kW", Align::right},
                     {"bill", Align::right},
                     {"why here"}});
    for (std::size_t i = 0; i < plan.steps.size(); ++i) {
        const PlanStep& step = plan.steps[i];
        const Surface& surface = result.surface_of(step);
        const Finish& finish = result.finish_of(step);
        table.add_row({std::to_string(i + 1), surface.id, finish_text(result, finish),
                       number(surface.exposed_area_m2, 1), number(finish.cost),
                       number(step.cost_so_far), three_digits(kwh_of_joules(step.saves_cooling_j)),
                       number(kilowatts(step.saves_peak_w), 2), number(step.saves_running),
                       why_here(result, finish.surface)});
    }
    return fmt::format(
               "\nWhat to buy, in order (costs and bill in {}; savings of cooling, of peaks and of "
               "the\n  electricity bill over the period: what each adds to those before it)\n",
               printable(result.run.settings.plan.currency)) +
           table.text();
}

std::string shopping_of(const PlanResult& result) {
    if (result.plan.steps.empty()) return {};
    const std::vector<Treatment>& treatments = result.run.settings.treatments;
    TextTable table({{"treatment"},
                     {"surfaces", Align::right},
                     {"area m2", Align::right},
                     {"cost", Align::right}});
    for (std::size_t t = 0; t < treatments.size(); ++t) {
        std::size_t n = 0;
        double area_m2 = 0, cost = 0;
        for (const PlanStep& step : result.plan.steps) {
            const auto& list = result.finish_of(step).treatments;
            if (std::find(list.begin(), list.end(), t) == list.end()) continue;
            ++n;
            area_m2 += result.surface_of(step).exposed_area_m2;
            cost += cost_of(treatments[t], result.surface_of(step).exposed_area_m2);
        }
        if (n > 0)
            table.add_row(
                {treatments[t].name, std::to_string(n), number(area_m2, 1), number(cost)});
    }
    return "\nShopping list (net areas, without waste)\n" + table.text();
}

std::string frontier_of(const PlanResult& result, bool more) {
    const Plan& plan = result.plan;
    TextTable table({{"budget", Align::right},
                     {"spent", Align::right},
                     {"surfaces", Align::right},
                     {std::string(to_string(plan.goal)), Align::right},
                     {"cooling kWh", Align::right}});
    for (std::size_t i = 0; i < plan.frontier.size(); ++i) {
        const FrontierPoint& point = plan.frontier[i];
        const bool chosen = point.budget == plan.budget;
        if (!more && !chosen && i % 2 == 1 && i + 1 < plan.frontier.size()) continue;
        table.add_row({number(point.budget) + (chosen ? " *" : "  "), number(point.cost),
                       std::to_string(point.finishes.size()), in_unit(result, point.burden),
                       three_digits(kwh_of_joules(point.cooling_j))});
    }
    return "\nWhat other budgets reach (* this plan)\n" + table.text();
}

std::string units_before_and_after(const PlanResult& result) {
    const Response &before = result.plan.before, &after = result.plan.after;
    TextTable table({{"unit"},
                     {"cooling kWh", Align::right},
                     {"with plan", Align::right},
                     {"peak kW", Align::right},
                     {"with plan", Align::right},
                     {"plant kW", Align::right},
                     {"with plan", Align::right}});
    for (std::size_t u = 0; u < before.n_units; ++u) {
        table.add_row({result.run.envelope().units[u].id,
                       three_digits(kwh_of_joules(before.cooling_j[u])),
                       three_digits(kwh_of_joules(after.cooling_j[u])),
                       number(kilowatts(before.peak_cooling_w[u].value), 2),
                       number(kilowatts(after.peak_cooling_w[u].value), 2),
                       number(kilowatts(before.needed_capacity_w[u].value), 2),
                       number(kilowatts(after.needed_capacity_w[u].value), 2)});
    }
    return "\nUnits\n" + table.text();
}

Json json_units(const PlanResult& result, const Response& response) {
    Json list = Json::array();
    for (std::size_t u = 0; u < response.n_units; ++u) {
        const double electricity_j = response.cooling_electricity_j[u] +
                                     response.heating_electricity_j[u] +
                                     response.fan_electricity_j[u];
        list.push_back({{"id", json_text(result.run.envelope().units[u].id)},
                        {"cooling_kwh", kwh_of_joules(response.cooling_j[u])},
                        {"heating_kwh", kwh_of_joules(response.heating_j[u])},
                        {"electricity_kwh", kwh_of_joules(electricity_j)},
                        {"peak_cooling_w", response.peak_cooling_w[u].value},
                        {"needed_capacity_w", response.needed_capacity_w[u].value}});
    }
    return list;
}

Json json_treatments(const PlanResult& result, const Finish& finish) {
    Json list = Json::array();
    for (const std::size_t t : finish.treatments)
        list.push_back(json_text(result.run.settings.treatments[t].name));
    return list;
}

/// The goal's figure under a key that ends in its unit.
void put(const PlanResult& result, const char* name, double figure, Json& out) {
    const std::string key = name;
    switch (result.plan.goal) {
        case PlanGoal::cooling_energy:
            out[key + "_kwh"] = kwh_of_joules(figure);
            break;
        case PlanGoal::running_cost:
            out[key + "_cost"] = figure;
            break;
        case PlanGoal::peak_load:
            out[key + "_w"] = figure;
            break;
    }
}

Json chosen_of(const PlanResult& result) {
    Json list = Json::array();
    for (const PlanStep& step : result.plan.steps) {
        const Finish& finish = result.finish_of(step);
        const Surface& surface = result.surface_of(step);
        Json entry = {{"surface", json_text(surface.id)},
                      {"treatment", json_text(finish_text(result, finish))},
                      {"treatments", json_treatments(result, finish)},
                      {"area_m2", surface.exposed_area_m2},
                      {"cost", finish.cost},
                      {"cost_so_far", step.cost_so_far},
                      {"saves_kwh", kwh_of_joules(step.saves_cooling_j)},
                      {"saves_peak_w", step.saves_peak_w},
                      {"saves_running_cost", step.saves_running}};
        put(result, "alone_saves", step.alone, entry);
        entry["why"] = why_here(result, finish.surface);
        list.push_back(std::move(entry));
    }
    return list;
}

Json frontier_json(const PlanResult& result) {
    Json list = Json::array();
    for (const FrontierPoint& point : result.plan.frontier) {
        Json entry = {{"budget", point.budget},
                      {"cost", point.cost},
                      {"cooling_kwh", kwh_of_joules(point.cooling_j)},
                      {"purchases", point.finishes.size()},
                      {"candidates", point.finishes}};
        put(result, "goal", point.burden, entry);
        list.push_back(std::move(entry));
    }
    return list;
}

Json candidates_of(const PlanResult& result) {
    Json list = Json::array();
    for (std::size_t f = 0; f < result.plan.finishes.size(); ++f) {
        const Finish& finish = result.plan.finishes[f];
        const Surface& surface = result.run.envelope().surfaces[finish.surface.index()];
        Json costs = Json::array();
        for (const std::size_t t : finish.treatments)
            costs.push_back(cost_of(result.run.settings.treatments[t], surface.exposed_area_m2));
        Json entry = {{"surface", json_text(surface.id)},
                      {"treatment", json_text(finish_text(result, finish))},
                      {"treatments", json_treatments(result, finish)},
                      {"treatment_costs", std::move(costs)},
                      {"area_m2", surface.exposed_area_m2},
                      {"cost", finish.cost}};
        put(result, "alone_saves", result.plan.alone[f], entry);
        list.push_back(std::move(entry));
    }
    return list;
}

}  // namespace

std::string why_here(const PlanResult& result, SurfaceId surface) {
    const SurfaceBins& months = result.months;
    std::size_t brightest = 0;
    double most_wh_m2 = 0;
    for (std::size_t m = 0; m < months.n_bins; ++m) {
        if (result.days_of_month[m] <= 0) continue;
        const double a_day = months.total_wh_m2(months.at(m, surface)) / result.days_of_month[m];
        if (a_day <= most_wh_m2) continue;
        most_wh_m2 = a_day;
        brightest = m;
    }
    if (most_wh_m2 <= 0) return "no sun in the period";
    const std::size_t at = months.at(brightest, surface);
    return fmt::format("takes {:.1f} kWh/m2 a day in {}; {:.0f} % of it direct",
                       kwh_of_watt_hours(most_wh_m2), month_names[brightest],
                       100 * months.direct_wh_m2[at] / months.total_wh_m2(at));
}

std::string plan_page(const PlanResult& result, bool more) {
    return head_of(result.run) + losses_of(result.run.warnings) + summary_of(result) +
           steps_of(result) + shopping_of(result) + frontier_of(result, more) +
           units_before_and_after(result) + warnings_page(result.run.warnings, more) +
           cautions_page() + (more ? defaults_of(result.run) : std::string());
}

Json plan_document(const PlanResult& result) {
    const Plan& plan = result.plan;
    Json document;
    document["version"] = NOONSHELL_VERSION;
    document["model"] = json_text(result.run.settings.model.file.filename().string());
    document["goal"] = to_string(plan.goal);
    document["budget"] = plan.budget;
    document["spent"] = plan.cost;
    document["currency"] = json_text(result.run.settings.plan.currency);
    document["before"] = {{"units", json_units(result, plan.before)}};
    put(result, "goal", plan.burden_before, document["before"]);
    document["after"] = {{"units", json_units(result, plan.after)}};
    put(result, "goal", plan.burden_after, document["after"]);
    document["saved_kwh"] =
        kwh_of_joules(sum_of(plan.before.cooling_j) - sum_of(plan.after.cooling_j));
    document["saved_peak_w"] = peaks_of(plan.before) - peaks_of(plan.after);
    document["saved_running_cost"] =
        result.run.bill_of(electricity_of(plan.before) - electricity_of(plan.after));
    put(result, "saved", plan.saving(), document);
    put(result, "bound", plan.most_saving, document);
    put(result, "predicted", plan.predicted_saving, document);
    put(result, "saved_with_light_anew", plan.burden_before - plan.burden_checked, document);
    document["gap"] = plan.gap();
    document["helping_share"] = plan.helping_share;
    document["plans_run"] = plan.plans_run;
    document["exchanges_run"] = plan.swaps_run;
    document["chosen"] = chosen_of(result);
    document["frontier"] = frontier_json(result);
    document["candidates"] = candidates_of(result);
    document["warnings"] = json_warnings(result.run.warnings);
    document["cautions"] = Json(cautions());
    return document;
}

std::string plan_json(const PlanResult& result) {
    return document_text(plan_document(result));
}

std::string plan_csv(const PlanResult& result) {
    std::string text =
        "order,surface,treatment,area_m2,cost,cost_so_far,saves_kwh,saves_peak_w,"
        "saves_running_cost,why\n";
    for (std::size_t i = 0; i < result.plan.steps.size(); ++i) {
        const PlanStep& step = result.plan.steps[i];
        const Finish& finish = result.finish_of(step);
        text += fmt::format("{},{},{},{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{}\n", i + 1,
                            csv_field(result.surface_of(step).id),
                            csv_field(finish_text(result, finish)),
                            result.surface_of(step).exposed_area_m2, finish.cost, step.cost_so_far,
                            kwh_of_joules(step.saves_cooling_j), step.saves_peak_w,
                            step.saves_running, csv_field(why_here(result, finish.surface)));
    }
    return text;
}

std::string frontier_csv(const PlanResult& result) {
    std::string text = "budget,cost,purchases,cooling_kwh\n";
    for (const FrontierPoint& point : result.plan.frontier) {
        text += fmt::format("{:.7g},{:.7g},{},{:.7g}\n", point.budget, point.cost,
                            point.finishes.size(), kwh_of_joules(point.cooling_j));
    }
    return text;
}

}  // namespace noonshell
