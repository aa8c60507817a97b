#include "cli/plan_analysis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "cli/default_treatments.hpp"
#include "cli/interrupt.hpp"
#include "cli/plan_yard.hpp"
#include "cli/progress.hpp"
#include "cli/small_plants.hpp"
#include "cli/utf8.hpp"
#include "geometry/nearest_key.hpp"
#include "geometry/roles.hpp"
#include "thermal/surroundings.hpp"
#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

bool looks_at_cooling(PlanGoal goal) {
    return goal == PlanGoal::cooling_energy || goal == PlanGoal::peak_load;
}

/// A goal or limit of cooling where no room has any: said before an empty plan is explained.
void warn_where_nothing_is_cooled(PlanResult& result) {
    if (std::ranges::any_of(result.run.building.rooms, &RoomSettings::cooled)) return;
    const PlanLimits& limits = result.run.settings.plan.limits;
    std::string about;
    const auto add = [&](std::string_view what) {
        about += about.empty() ? "" : " and ";
        about += what;
    };
    if (looks_at_cooling(result.plan.goal))
        add(fmt::format("the goal ({})", to_string(result.plan.goal)));
    if (limits.plant_w) add("plant_limit_kw");
    if (limits.cooling_j_m2) add("cooling_limit_kwh_m2");
    if (about.empty()) return;
    result.run.warnings.push_back(
        {"nothing-cooled",
         fmt::format("no room is cooled (cooling = \"none\"), so that {} look{} at zeros and "
                     "nothing can be saved: the goal \"too_hot\" and too_hot_limit_h look at rooms "
                     "without cooling",
                     about, about.find(" and ") == std::string::npos ? "s" : ""),
         printable(result.run.settings.file.filename().string())});
}

void warn_where_nothing_is_bought(PlanResult& result) {
    if (!result.plan.steps.empty()) return;
    if (looks_at_cooling(result.plan.goal) &&
        std::ranges::none_of(result.run.building.rooms, &RoomSettings::cooled))
        return;
    const auto warn = [&](const char* text) {
        result.run.warnings.push_back(
            {"nothing-to-buy", text, printable(result.run.settings.file.filename().string())});
    };
    if (result.plan.finishes.empty() && result.plan.shade_trials.empty())
        return warn("no treatment fits any surface in the open");
    for (const Finish& finish : result.plan.finishes) {
        if (finish.cost <= result.plan.budget)
            return warn("nothing that the budget reaches saves any of the goal's figure");
    }
    for (const ShadeTrial& trial : result.plan.shade_trials) {
        if (trial.cost <= result.plan.budget)
            return warn("nothing that the budget reaches saves any of the goal's figure");
    }
    warn("everything that can be bought costs more than the budget");
}

/// As the building stands; of a report's own run the same is told without what it means here.
void warn_of_small_plants(PlanResult& result) {
    const Response& before = result.plan.before;
    std::erase_if(result.run.warnings,
                  [](const Warning& warning) { return warning.code == small_plant_code; });
    for (std::size_t u = 0; u < before.n_units; ++u) {
        if (auto warning = small_plant_warning(result.run, u, before.hours_not_met_h[u],
                                               before.needed_capacity_w[u].value, true))
            result.run.warnings.push_back(std::move(*warning));
    }
}

/// The hottest day's bill is not a year's.
void warn_of_short_period(PlanResult& result, PlanGoal goal) {
    constexpr std::size_t nearly_a_year = 350;
    const std::size_t days = result.run.place.weather.size() / hours_per_day;
    if (goal != PlanGoal::present_value || days >= nearly_a_year) return;
    result.run.warnings.push_back(
        {"present-value-of-few-days",
         fmt::format("the present value takes {} day{} of weather for all days of {:g} years; what "
                     "costs and savings come to in a year only a year of weather tells",
                     days, days == 1 ? "" : "s",
                     result.run.settings.plan.discounting.horizon_years),
         "weather"});
}

/// What the site file asks for and no surface answers to.
void warn_of_idle_wishes(PlanResult& result) {
    const std::vector<Surface>& surfaces = result.run.envelope().surfaces;
    std::vector<std::string_view> names;
    for (const Surface& surface : surfaces) names.push_back(surface.id);
    for (const std::string& pattern : result.run.settings.plan.untouched) {
        if (std::ranges::any_of(surfaces,
                                [&](const Surface& s) { return matches_pattern(pattern, s.id); }))
            continue;
        result.run.warnings.push_back(
            {"untouched-matches-nothing",
             fmt::format("the pattern \"{}\" matches no surface and keeps nothing untouched; the "
                         "nearest of {} names is \"{}\"",
                         printable(pattern), names.size(),
                         printable(std::string(nearest_key(pattern, names)))),
             "plan.untouched"});
    }
    const std::vector<Treatment>& treatments = result.run.settings.treatments;
    for (const std::size_t t : lacking_what_they_need(treatments, result.run.envelope())) {
        std::string needs;
        for (const std::string& name : treatments[t].needs)
            needs += fmt::format("{}\"{}\"", needs.empty() ? "" : " and ", printable(name));
        result.run.warnings.push_back(
            {"treatment-lacks-needed",
             fmt::format("it can go nowhere: on no surface where it fits does {}, which it needs, "
                         "fit with all that this needs",
                         needs),
             fmt::format("treatment \"{}\"", printable(treatments[t].name))});
    }
}

/// Prices that nobody gave are examples, and a plan is only as good as its prices.
void warn_of_invented_prices(PlanResult& result) {
    std::string keys;
    for (const InputRecord& record : result.run.settings.inputs) {
        const bool invented =
            record.origin == InputOrigin::by_default && record.source == invented_price;
        if (invented) keys += (keys.empty() ? "" : ", ") + record.key;
    }
    if (keys.empty()) return;
    result.run.warnings.push_back({"invented-prices",
                                   "these prices are invented examples, and so is what they make "
                                   "of the plan: put in your own",
                                   keys});
}

/// Of the shades that the plan builds.
void tell_of_clashes(PlanResult& result) {
    const ShadeSettings shades = shades_of(result.plan, result.run.settings.planned_shades);
    if (shades.empty()) return;
    const BuiltShades built =
        build_shades(result.run.inspection.model, result.run.envelope(), shades);
    result.run.warnings.insert(result.run.warnings.end(), built.warnings.begin(),
                               built.warnings.end());
}

}  // namespace

PlanResult analyse_plan(SiteFile settings, const PlanChoices& choices, unsigned threads,
                        const Console& console) {
    RunChoices light_choices;
    light_choices.preview = choices.preview;
    light_choices.unranked = true;
    PlanResult result;
    result.run = (choices.for_report ? analyse : analyse_light)(std::move(settings), light_choices,
                                                                threads, console);
    RunResult& run = result.run;
    result.month_of_hour = month_of_hour(run.place.site, run.place.weather);
    result.months = surface_bins(run.light.exposure, result.month_of_hour, months_of_year);
    result.days_of_month.assign(months_of_year, 0);
    for (const std::uint8_t m : result.month_of_hour) result.days_of_month[m] += 1.0 / 24;
    result.mean_days.emplace(run.place.site, run.place.weather, run.calendar(),
                             DayTable::Days::mean_of_months);
    SurroundingsOptions outdoors = outdoors_of(run.settings, run.light);
    const Surroundings surroundings =
        make_surroundings(run.place.site, run.place.weather, outdoors);
    const PaneLight panes(run.envelope(), run.building.exposed, run.path);
    const HeatInputs inputs{run.envelope(), run.light.exchange, run.light.exposure, surroundings,
                            &panes};
    outdoors.step_s = std::max(trial_step_s, outdoors.step_s);
    const Surroundings trial_surroundings =
        make_surroundings(run.place.site, run.place.weather, outdoors);
    PlanOptions options;
    options.trial_surroundings = &trial_surroundings;
    options.goal = choices.goal.value_or(run.settings.plan.goal);
    options.budget = choices.budget;
    options.electricity_price_per_kwh = run.settings.plan.electricity_price_per_kwh;
    options.discounting = run.settings.plan.discounting;
    options.limits = run.settings.plan.limits;
    if (wants_free_runs(options.goal) || options.limits.hours_too_hot_h)
        options.daily_limit_c = adaptive_limits_c(run.place.weather, run.settings.room.comfort);
    options.untouched = run.settings.plan.untouched;
    options.samples = run.settings.plan.samples;
    options.spread = run.settings.plan.spread;
    options.shades = run.settings.planned_shades;
    const TracedYard yard(run, surroundings, threads);
    options.yard = &yard;
    options.store = choices.store;
    options.threads = threads;
    options.stop = &interrupt_flag();
    {
        Stage stage(console, "plan");
        options.progress = stage.callback();
        // Plans run side by side: the light of each is on one thread.
        result.plan = make_plan(
            inputs, run.building, run.settings.treatments,
            [&](std::span<const double> reflectance) {
                return relit(run.light, run.place.site, run.place.weather, run.path, reflectance,
                             run.settings.run.sky, 1);
            },
            options);
    }
    throw_if_interrupted();
    warn_of_small_plants(result);
    warn_of_invented_prices(result);
    warn_of_idle_wishes(result);
    warn_of_short_period(result, result.plan.goal);
    warn_where_nothing_is_cooled(result);
    tell_of_clashes(result);
    warn_where_nothing_is_bought(result);
    return result;
}

}  // namespace noonshell
