#include "thermal/plan_runs.hpp"

#include <numeric>
#include <set>
#include <utility>

#include "solar/parallel.hpp"

namespace noonshell {

PlanRuns::PlanRuns(const PlanRunsQuestion& question)
    : inputs_(question.inputs),
      base_(question.base),
      treatments_(question.treatments),
      finishes_(question.finishes),
      relight_(question.relight),
      options_(question.options),
      costs_(inputs_.envelope, treatments_, finishes_, question.paid),
      kept_(options_.store, inputs_, base_, options_.heat, question.light) {}

Response PlanRuns::run_one(const Choice& choice) const {
    Building building = base_;
    std::vector<KeptRuns::Change> changes;
    for (const std::size_t f : choice) {
        const SurfaceId at = finishes_[f].surface;
        Construction& surface = building.exposed[at.index()];
        surface = finished(surface, finishes_[f], treatments_);
        changes.push_back({at, &surface});
    }
    return kept_.response(changes, [&] { return run_anew(building, !choice.empty()); });
}

Response PlanRuns::run_anew(const Building& building, bool changed) const {
    HeatOptions heat = options_.heat;
    heat.keep_hours = heat.account = false;
    heat.stop = options_.stop;
    heat.progress = nullptr;
    if (!changed) return simulate(inputs_, building, heat);
    const Exposure light = relight_(outside_reflectance(building));
    return simulate(
        {inputs_.envelope, inputs_.exchange, light, inputs_.surroundings, inputs_.panes}, building,
        heat);
}

void PlanRuns::run(const std::vector<Choice>& choices) {
    std::set<Choice> missing;
    for (const Choice& choice : choices) {
        if (!responses_.contains(choice)) missing.insert(choice);
    }
    const std::vector<Choice> list(missing.begin(), missing.end());
    std::vector<Response> found(list.size());
    for_each_task(options_.threads, list.size(),
                  [&](std::size_t i) { found[i] = run_one(list[i]); });
    for (std::size_t i = 0; i < list.size(); ++i) responses_[list[i]] = std::move(found[i]);
}

std::vector<double> PlanRuns::burdens(const Choice& choice) const {
    std::vector<double> burdens =
        burdens_of(options_.goal, response(choice), options_.electricity_price_per_kwh);
    if (options_.goal == PlanGoal::running_cost) {
        for (const std::size_t f : choice) {
            const UnitId unit = inputs_.envelope.surfaces[finishes_[f].surface.index()].unit;
            burdens[unit.index()] += upkeep_over(finishes_[f].upkeep_per_year, inputs_);
        }
    }
    return burdens;
}

double PlanRuns::burden(const Choice& choice) const {
    const std::vector<double> by_unit = burdens(choice);
    return std::accumulate(by_unit.begin(), by_unit.end(), 0.0);
}

}  // namespace noonshell
