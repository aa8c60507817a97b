#include "thermal/plan_runs.hpp"

#include <numeric>
#include <optional>
#include <set>
#include <utility>

#include "solar/parallel.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

namespace {

/// What each finish costs as far as the goal counts it, #finishes.
std::vector<double> counted_costs_of(const PlanRunsQuestion& question, const PlanPrices& prices) {
    std::vector<double> counted;
    for (const Finish& finish : question.finishes) {
        const double area_m2 =
            question.inputs.envelope.surfaces[finish.surface.index()].exposed_area_m2;
        double sum = 0;
        for (const std::size_t t : finish.treatments) {
            const Treatment& treatment = question.treatments[t];
            sum += counted_cost(question.options.goal,
                                {.cost = cost_of(treatment, area_m2),
                                 .life_years = treatment.life_years,
                                 .upkeep_per_year = treatment.upkeep_per_m2_year * area_m2,
                                 .coat_cost = treatment.recoat_per_m2 * area_m2,
                                 .coat_years = treatment.recoat_years},
                                prices);
        }
        counted.push_back(sum);
    }
    return counted;
}

/// A building with a choice of finishes.
struct ChangedBuilding {
    Building building;
    std::vector<KeptRuns::Change> changes;  // into the building

    ChangedBuilding(const Building& base, const Choice& choice, const std::vector<Finish>& finishes,
                    std::span<const Treatment> treatments)
        : building(base) {
        for (const std::size_t f : choice) {
            const SurfaceId at = finishes[f].surface;
            Construction& surface = building.exposed[at.index()];
            surface = finished(surface, finishes[f], treatments);
            changes.push_back({at, &surface});
        }
    }
    ChangedBuilding(const ChangedBuilding&) = delete;
    ChangedBuilding& operator=(const ChangedBuilding&) = delete;
};

/// The inputs under another light, if there is one.
HeatInputs under(const HeatInputs& inputs, const std::optional<Exposure>& light) {
    return {inputs.envelope, inputs.exchange, light ? *light : inputs.exposure, inputs.surroundings,
            inputs.panes};
}

}  // namespace

bool wants_loads(const PlanOptions& options) {
    return options.goal == PlanGoal::peak_load || options.limits.plant_w.has_value();
}

std::span<const double> wanted_limits(const PlanOptions& options) {
    if (!wants_free_runs(options.goal) && !options.limits.hours_too_hot_h) return {};
    return options.daily_limit_c;
}

PlanRuns::PlanRuns(const PlanRunsQuestion& question)
    : inputs_(question.inputs),
      base_(question.base),
      treatments_(question.treatments),
      finishes_(question.finishes),
      relight_(question.relight),
      options_(question.options),
      costs_(inputs_.envelope, treatments_, finishes_, question.paid),
      prices_{options_.electricity_price_per_kwh, options_.discounting, years_of(inputs_)},
      counted_(counted_costs_of(question, prices_)),
      limited_(limited_units(options_.limits, inputs_.envelope)),
      kept_(options_.store, inputs_, base_, options_.heat, question.light, wanted_limits(options_)),
      unlimited_base_(without_limits(base_)),
      kept_unlimited_(options_.store, inputs_, unlimited_base_, options_.heat, question.light) {}

PlanRun PlanRuns::run_one(const Choice& choice) const {
    const ChangedBuilding changed(base_, choice, finishes_, treatments_);
    return kept_.whole(changed.changes,
                       [&] { return run_anew(changed.building, !choice.empty()); });
}

Response PlanRuns::unlimited_run_of(const Choice& choice) const {
    const ChangedBuilding changed(unlimited_base_, choice, finishes_, treatments_);
    return kept_unlimited_
        .whole(changed.changes,
               [&]() -> PlanRun {
                   const std::optional<Exposure> light =
                       light_on(changed.building, !choice.empty());
                   return {simulate(under(inputs_, light), changed.building, quiet_heat())};
               })
        .response;
}

HeatOptions PlanRuns::quiet_heat() const {
    HeatOptions heat = options_.heat;
    heat.keep_hours = heat.account = false;
    heat.stop = options_.stop;
    heat.progress = nullptr;
    return heat;
}

/// None where nothing is changed: the light is that of the inputs.
std::optional<Exposure> PlanRuns::light_on(const Building& building, bool changed) const {
    if (!changed) return std::nullopt;
    return relight_(outside_reflectance(building));
}

PlanRun PlanRuns::run_anew(const Building& building, bool changed) const {
    HeatOptions heat = quiet_heat();
    const std::optional<Exposure> light = light_on(building, changed);
    const HeatInputs inputs = under(inputs_, light);
    PlanRun run{simulate(inputs, building, heat)};
    const std::span<const double> limits = wanted_limits(options_);
    if (limits.empty()) return run;
    heat.keep_hours = true;
    run.too_hot = too_hot_of(simulate(inputs, free_running(building), heat), limits);
    return run;
}

void PlanRuns::run(const std::vector<Choice>& choices) {
    std::set<Choice> missing;
    for (const Choice& choice : choices) {
        if (!runs_.contains(choice)) missing.insert(choice);
    }
    const std::vector<Choice> list(missing.begin(), missing.end());
    std::vector<PlanRun> found(list.size());
    for_each_task(options_.threads, list.size(),
                  [&](std::size_t i) { found[i] = run_one(list[i]); });
    for (std::size_t i = 0; i < list.size(); ++i) runs_[list[i]] = std::move(found[i]);
    if (wants_loads(options_)) find_loads(choices);
}

void PlanRuns::find_loads(const std::vector<Choice>& choices) {
    std::set<Choice> clipped;
    for (const Choice& choice : choices) {
        if (!with_loads_.contains(choice) && reached_limits(response(choice)))
            clipped.insert(choice);
    }
    const std::vector<Choice> list(clipped.begin(), clipped.end());
    std::vector<Response> unlimited(list.size());
    for_each_task(options_.threads, list.size(),
                  [&](std::size_t i) { unlimited[i] = unlimited_run_of(list[i]); });
    for (std::size_t i = 0; i < list.size(); ++i) {
        put_loads(unlimited[i], runs_.at(list[i]).response);
        with_loads_.insert(list[i]);
    }
}

std::vector<double> PlanRuns::counted_costs(const Choice& choice) const {
    std::vector<double> costs(inputs_.envelope.units.size(), 0.0);
    for (const std::size_t f : choice) {
        const UnitId unit = inputs_.envelope.surfaces[finishes_[f].surface.index()].unit;
        costs[unit.index()] += counted_[f];
    }
    for (const CallOut& call : costs_.call_outs_paid(choice))
        costs[call.unit.index()] += counted_once(options_.goal, call.cost);
    return costs;
}

double PlanRuns::counted_call_outs(const Choice& choice) const {
    return counted_once(options_.goal, costs_.call_out_cost(choice));
}

std::vector<double> PlanRuns::burdens(const Choice& choice) const {
    std::vector<double> burdens = burdens_of(options_.goal, run_of(choice), prices_);
    const std::vector<double> costs = counted_costs(choice);
    for (std::size_t u = 0; u < burdens.size(); ++u) burdens[u] += costs[u];
    return burdens;
}

double PlanRuns::burden(const Choice& choice) const {
    const std::vector<double> by_unit = burdens(choice);
    return std::accumulate(by_unit.begin(), by_unit.end(), 0.0);
}

}  // namespace noonshell
