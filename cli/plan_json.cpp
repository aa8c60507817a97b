// plan.json and the tables of a plan.
#include <fmt/format.h>

#include <numeric>
#include <string>
#include <string_view>

#include "cli/cautions.hpp"
#include "cli/csv_text.hpp"
#include "cli/plan_parts.hpp"
#include "cli/plan_told.hpp"
#include "cli/result_units.hpp"
#include "thermal/plan_worth.hpp"

namespace noonshell {

namespace {

double cooling_of(const Response& response) {
    return std::accumulate(response.cooling_j.begin(), response.cooling_j.end(), 0.0);
}

/// `too_hot` may be empty.
Json json_units(const PlanResult& result, const Response& response,
                const std::vector<TooHot>& too_hot) {
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
        if (too_hot.empty()) continue;
        list.back()["hours_too_hot_h"] = too_hot[u].hours_h;
        list.back()["too_hot_kh"] = too_hot[u].degree_hours_kh;
    }
    return list;
}

Json json_treatments(const PlanResult& result, const Finish& finish) {
    Json list = Json::array();
    for (const std::size_t t : finish.treatments)
        list.push_back(json_text(result.run.settings.treatments[t].name));
    return list;
}

/// What keys and columns of the goal's figure end in.
std::string_view ending_of(PlanGoal goal) {
    switch (goal) {
        case PlanGoal::cooling_energy:
            return "_kwh";
        case PlanGoal::running_cost:
        case PlanGoal::present_value:
            return "_cost";
        case PlanGoal::too_hot:
            return "_kh";
        case PlanGoal::peak_load:
            break;
    }
    return "_w";
}

/// The goal's figure under a key that ends in its unit.
void put(const PlanResult& result, const char* name, double figure, Json& out) {
    const PlanGoal goal = result.plan.goal;
    out[std::string(name).append(ending_of(goal))] = in_told_unit(goal, figure);
}

Json or_null(const std::optional<double>& value) {
    return value ? Json(*value) : Json(nullptr);
}

/// Null where nothing is bought.
Json first_tenth_json(const PlanResult& result) {
    const Plan& plan = result.plan;
    const FirstMoney first = first_tenth(plan);
    if (first.purchases == 0) return nullptr;
    Json entry = {{"purchases", first.purchases},
                  {"cost", first.cost},
                  {"share_of_saving", plan.saving() > 0 ? first.saves / plan.saving() : 0}};
    put(result, "saved", first.saves, entry);
    return entry;
}

Json shade_json(const PlanResult& result, const ShadeTrial& trial) {
    const PlannedShade& planned = result.run.settings.planned_shades[trial.shade];
    return {{"name", json_text(planned.name())},
            {"kind", planned.kind()},
            {"reach_m", trial.size.reach_m},
            {"height_m", planned.is_roof() ? Json(trial.size.height_m) : Json()},
            {"pieces", trial.pieces}};
}

/// All sizes that were tried.
Json shade_trials_json(const PlanResult& result) {
    Json list = Json::array();
    for (const ShadeTrial& trial : result.plan.shade_trials) {
        Json entry = shade_json(result, trial);
        entry["area_m2"] = trial.area_m2;
        entry["cost"] = trial.cost;
        entry["life_years"] = result.run.settings.planned_shades[trial.shade].life_years;
        entry["upkeep_per_year"] = trial.upkeep_per_year;
        put(result, "alone_saves", trial.alone, entry);
        list.push_back(std::move(entry));
    }
    return list;
}

/// What `why` says of a surface, as numbers.
Json light_json(const PlanResult& result, SurfaceId surface) {
    const auto light = telling_month(result, surface);
    if (!light) return nullptr;
    return {{"month", light->month + 1},
            {"day_kwh_m2", light->day_kwh_m2},
            {"direct_share", light->direct_share},
            {"half_from", clock_text(light->half_from_min)},
            {"half_to", clock_text(light->half_to_min)}};
}

Json chosen_of(const PlanResult& result) {
    Json list = Json::array();
    const std::vector<double>& stays = result.plan.confidence.stays;
    for (std::size_t i = 0; i < result.plan.steps.size(); ++i) {
        const PlanStep& step = result.plan.steps[i];
        const Bought bought = bought_by(result, step);
        Json entry = {{"surface", json_text(bought.where)},
                      {"treatment", json_text(bought.what)},
                      {"treatments", step.shade ? Json::array()
                                                : json_treatments(result, result.finish_of(step))},
                      {"shade", step.shade ? shade_json(result, result.shade_of(step)) : Json()},
                      {"area_m2", bought.area_m2},
                      {"cost", step.cost},
                      {"call_out_cost", step.call_out_cost},
                      {"cost_so_far", step.cost_so_far},
                      {"upkeep_per_year", bought.upkeep_per_year},
                      {"saves_kwh", kwh_of_joules(step.saves_cooling_j)},
                      {"saves_peak_w", step.saves_peak_w},
                      {"saves_running_cost", step.saves_running},
                      {"payback_years", or_null(payback_of(result, step))}};
        put(result, "goal_saves", step.saves, entry);
        put(result, "alone_saves", step.alone, entry);
        entry["confidence"] = stays.empty() || step.shade ? Json(nullptr) : Json(stays[i]);
        entry["light"] =
            step.shade ? Json(nullptr) : light_json(result, result.finish_of(step).surface);
        entry["why"] = json_text(bought.why);
        list.push_back(std::move(entry));
    }
    return list;
}

Json confidence_json(const PlanResult& result) {
    const PlanConfidence& confidence = result.plan.confidence;
    if (confidence.samples == 0) return nullptr;
    Json document = {{"samples", confidence.samples}};
    put(result, "saving_low", confidence.saving_low, document);
    put(result, "saving_high", confidence.saving_high, document);
    document["within_limits"] =
        result.run.settings.plan.limits.any() ? Json(confidence.within_limits) : Json(nullptr);
    Json inputs = Json::array();
    for (const InputWeight& weight : confidence.inputs)
        inputs.push_back({{"input", json_text(input_name(result, weight.input))},
                          {"rank_correlation_saving", weight.on_saving},
                          {"rank_correlation_plan_kept", weight.on_plan}});
    document["inputs"] = std::move(inputs);
    Json ranks = Json::array();
    for (const RankSpread& rank : confidence.ranks)
        ranks.push_back(
            {{"surface", json_text(result.run.envelope().surfaces[rank.surface.index()].id)},
             {"rank", rank.rank},
             {"rank_low", rank.low},
             {"rank_high", rank.high}});
    document["ranks"] = std::move(ranks);
    return document;
}

/// Null where no new coat is ever due.
Json years_between_coats(double years) {
    return years > 0 ? Json(years) : Json(nullptr);
}

Json shopping_json(const PlanResult& result) {
    Json list = Json::array();
    for (const Needed& needed : shopping_list(result)) {
        list.push_back({{"treatment", json_text(needed.name)},
                        {"surfaces", needed.surfaces},
                        {"area_m2", needed.area_m2},
                        {"ordered_m2", needed.ordered_m2},
                        {"cost", needed.cost},
                        {"life_years", needed.life_years},
                        {"cost_per_year_of_life", needed.worn_per_year},
                        {"coat_cost", needed.coat_cost},
                        {"coat_years", years_between_coats(needed.coat_years)},
                        {"upkeep_per_year", needed.upkeep_per_year}});
    }
    return list;
}

Json call_outs_json(const PlanResult& result) {
    Json list = Json::array();
    for (const CallOut& call : result.plan.calls) {
        Json shared = Json::array();
        for (const std::string& name : sharing(result, call)) shared.push_back(json_text(name));
        list.push_back({{"call_out", json_text(call.kind)},
                        {"unit", json_text(result.run.envelope().units[call.unit.index()].id)},
                        {"cost", call.cost},
                        {"shared_by", std::move(shared)}});
    }
    return list;
}

Json purchases_json(const PlanResult& result, const std::vector<std::size_t>& finishes,
                    const std::vector<std::size_t>& shades) {
    const Plan& plan = result.plan;
    const std::vector<Surface>& surfaces = result.run.envelope().surfaces;
    Json list = Json::array();
    for (const std::size_t f : finishes)
        list.push_back({{"surface", json_text(surfaces[plan.finishes[f].surface.index()].id)},
                        {"treatment", json_text(finish_text(result, plan.finishes[f]))}});
    for (const std::size_t t : shades)
        list.push_back({{"surface", json_text(shade_name(result, plan.shade_trials[t]))},
                        {"treatment", json_text(shade_text(result, plan.shade_trials[t]))}});
    return list;
}

Json frontier_json(const PlanResult& result) {
    const Plan& plan = result.plan;
    Json list = Json::array();
    for (std::size_t i = 0; i < plan.frontier.size(); ++i) {
        const FrontierPoint& point = plan.frontier[i];
        const BudgetChange change = change_between(plan.frontier[i > 0 ? i - 1 : 0], point);
        Json entry = {{"budget", point.budget},
                      {"cost", point.cost},
                      {"call_out_cost", point.call_out_cost},
                      {"cooling_kwh", kwh_of_joules(point.cooling_j)},
                      {"purchases", point.finishes.size() + point.shades.size()},
                      {"candidates", point.finishes},
                      {"shades", point.shades},
                      {"meets_limits", point.meets_limits},
                      {"comes_in", purchases_json(result, change.finishes_in, change.shades_in)},
                      {"goes_out", purchases_json(result, change.finishes_out, change.shades_out)}};
        entry["saves_per_cost"] = change.saves_per_cost
                                      ? Json(in_told_unit(plan.goal, *change.saves_per_cost))
                                      : Json(nullptr);
        put(result, "goal", point.burden, entry);
        list.push_back(std::move(entry));
    }
    return list;
}

/// What one treatment among those on a surface takes.
Json part_of(const Treatment& treatment, double area_m2) {
    return {{"treatment", json_text(treatment.name)},
            {"cost", cost_of(treatment, area_m2)},
            {"ordered_m2", ordered_area_m2(treatment, area_m2)},
            {"coat_cost", coat_cost(treatment, area_m2)},
            {"upkeep_per_year", upkeep_per_year(treatment, area_m2)}};
}

Json candidates_of(const PlanResult& result) {
    Json list = Json::array();
    for (std::size_t f = 0; f < result.plan.finishes.size(); ++f) {
        const Finish& finish = result.plan.finishes[f];
        const Surface& surface = result.run.envelope().surfaces[finish.surface.index()];
        Json parts = Json::array();
        for (const std::size_t t : finish.treatments)
            parts.push_back(part_of(result.run.settings.treatments[t], surface.exposed_area_m2));
        Json entry = {{"surface", json_text(surface.id)},
                      {"treatment", json_text(finish_text(result, finish))},
                      {"treatments", json_treatments(result, finish)},
                      {"parts", std::move(parts)},
                      {"area_m2", surface.exposed_area_m2},
                      {"cost", finish.cost},
                      {"upkeep_per_year", finish.upkeep_per_year}};
        put(result, "alone_saves", result.plan.alone[f], entry);
        list.push_back(std::move(entry));
    }
    return list;
}

}  // namespace

Json plan_document(const PlanResult& result) {
    const Plan& plan = result.plan;
    Json document;
    document["version"] = NOONSHELL_VERSION;
    document["model"] = json_text(result.run.settings.model.file.filename().string());
    document["goal"] = to_string(plan.goal);
    document["budget"] = plan.budget;
    document["spent"] = plan.cost;
    document["call_out_cost"] = plan.call_out_cost;
    document["upkeep_per_year"] = plan.upkeep_per_year;
    document["currency"] = json_text(result.run.settings.plan.currency);
    document["before"] = {{"units", json_units(result, plan.before, plan.too_hot_before)}};
    put(result, "goal", plan.burden_before, document["before"]);
    document["after"] = {{"units", json_units(result, plan.after, plan.too_hot_after)}};
    put(result, "goal", plan.burden_after, document["after"]);
    document["saved_kwh"] = kwh_of_joules(cooling_of(plan.before) - cooling_of(plan.after));
    document["saved_peak_w"] = peaks_of(plan.before) - peaks_of(plan.after);
    document["saved_running_cost"] =
        result.run.bill_of(priced_electricity_of(plan.before) - priced_electricity_of(plan.after)) -
        plan.upkeep_over_period;
    put(result, "saved", plan.saving(), document);
    put(result, "bound", plan.most_saving, document);
    put(result, "predicted", plan.predicted_saving, document);
    put(result, "saved_with_light_anew", plan.burden_before - plan.burden_checked, document);
    document["gap"] = plan.gap();
    document["helping_share"] = plan.helping_share;
    document["plans_run"] = plan.plans_run;
    document["exchanges_tried"] = plan.swaps_tried;
    document["exchanges_run"] = plan.swaps_run;
    document["first_tenth"] = first_tenth_json(result);
    document["chosen"] = chosen_of(result);
    document["confidence"] = confidence_json(result);
    document["shopping_list"] = shopping_json(result);
    document["call_outs"] = call_outs_json(result);
    document["frontier"] = frontier_json(result);
    document["candidates"] = candidates_of(result);
    document["shade_trials"] = shade_trials_json(result);
    document["warnings"] = json_warnings(result.run.warnings);
    document["cautions"] = Json(cautions(result.run.offers_film()));
    return document;
}

std::string plan_json(const PlanResult& result) {
    return document_text(plan_document(result));
}

std::string plan_csv(const PlanResult& result) {
    const std::vector<double>& stays = result.plan.confidence.stays;
    std::string text = fmt::format(
        "order,surface,treatment,area_m2,cost,call_out_cost,cost_so_far,saves_kwh,saves_peak_w,"
        "saves_running_cost,payback_years,goal_saves{},{}why\n",
        ending_of(result.plan.goal), stays.empty() ? "" : "sure_percent,");
    const auto cell = [](const std::optional<double>& value) {
        return value ? fmt::format("{:.7g}", *value) : std::string();
    };
    for (std::size_t i = 0; i < result.plan.steps.size(); ++i) {
        const PlanStep& step = result.plan.steps[i];
        const Bought bought = bought_by(result, step);
        text +=
            fmt::format("{},{},{},{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{},{:.7g},",
                        i + 1, csv_field(bought.where), csv_field(bought.what), bought.area_m2,
                        step.cost - step.call_out_cost, step.call_out_cost, step.cost_so_far,
                        kwh_of_joules(step.saves_cooling_j), step.saves_peak_w, step.saves_running,
                        cell(payback_of(result, step)), in_told_unit(result.plan.goal, step.saves));
        constexpr double percent = 100;
        if (!stays.empty())
            text += cell(step.shade ? std::nullopt : std::optional(percent * stays[i])) + ",";
        text += csv_field(bought.why) + "\n";
    }
    return text;
}

std::string frontier_csv(const PlanResult& result) {
    const PlanGoal goal = result.plan.goal;
    std::string text =
        fmt::format("budget,cost,purchases,cooling_kwh,goal{},meets_limits\n", ending_of(goal));
    for (const FrontierPoint& point : result.plan.frontier) {
        text +=
            fmt::format("{:.7g},{:.7g},{},{:.7g},{:.7g},{}\n", point.budget, point.cost,
                        point.finishes.size() + point.shades.size(), kwh_of_joules(point.cooling_j),
                        in_told_unit(goal, point.burden), point.meets_limits);
    }
    return text;
}

}  // namespace noonshell
