#include "thermal/plan_scenes.hpp"

#include <algorithm>
#include <utility>

#include "solar/surface_hours.hpp"

namespace noonshell {

namespace {

/// All light on every surface over the period.
std::vector<double> light_of(const Exposure& exposure) {
    const SurfaceBins sums = surface_bins(exposure, {});
    std::vector<double> light;
    for (std::size_t s = 0; s < sums.n_surfaces; ++s) light.push_back(sums.total_wh_m2(s));
    return light;
}

void add_new(std::vector<CallOut>& all, std::span<const CallOut> more) {
    for (const CallOut& call : more) {
        const bool known = std::ranges::any_of(all, [&call](const CallOut& other) {
            return other.unit == call.unit && other.kind == call.kind;
        });
        if (!known) all.push_back(call);
    }
}

double sum_of_costs(std::span<const CallOut> calls) {
    double sum = 0;
    for (const CallOut& call : calls) sum += call.cost;
    return sum;
}

}  // namespace

PlanScenes::PlanScenes(const SurfaceQuestion& question, const Relight& relight)
    : question_(question) {
    PlanScene bare;
    bare.relight = std::make_unique<const Relight>(relight);
    bare.surfaces = std::make_unique<SurfacePlanner>(question_);
    scenes_.emplace(Built{}, std::move(bare));
    if (!question_.options.shades.empty()) bare_light_ = light_of(question_.inputs.exposure);
}

ShadeSettings PlanScenes::settings_of(const Built& built) const {
    ShadeSettings all;
    for (const std::size_t t : built) {
        const ShadeTrial& trial = trials_[t];
        const ShadeSettings one = sized(question_.options.shades[trial.shade], trial.size);
        all.roofs.insert(all.roofs.end(), one.roofs.begin(), one.roofs.end());
        all.overhangs.insert(all.overhangs.end(), one.overhangs.begin(), one.overhangs.end());
        all.fins.insert(all.fins.end(), one.fins.begin(), one.fins.end());
    }
    return all;
}

PlanScene& PlanScenes::with(const Built& built) {
    const auto known = scenes_.find(built);
    if (known != scenes_.end()) {
        known->second.surfaces->prepare();
        return known->second;
    }
    PlanScene scene;
    scene.scenery = question_.options.yard->with(settings_of(built));
    const Scenery* scenery = scene.scenery.get();
    scene.relight = std::make_unique<const Relight>([scenery](std::span<const double> reflectance) {
        return scenery->light_with(reflectance);
    });
    scene.calls = calls_together(built);
    scene.cost = cost_of(built);
    for (const std::size_t t : built) scene.upkeep_per_year += trials_[t].upkeep_per_year;
    const std::vector<double> light = light_of(scenery->inputs().exposure);
    for (std::size_t s = 0; s < bare_light_.size(); ++s)
        scene.light_left.push_back(bare_light_[s] > 0 ? light[s] / bare_light_[s] : 1.0);
    scene.surfaces =
        std::make_unique<SurfacePlanner>(SurfaceQuestion{.inputs = scenery->inputs(),
                                                         .base = scenery->building(),
                                                         .treatments = question_.treatments,
                                                         .finishes = question_.finishes,
                                                         .options = question_.options,
                                                         .paid = scene.calls});
    scene.surfaces->prepare();
    return scenes_.emplace(built, std::move(scene)).first->second;
}

double PlanScenes::price_of(std::size_t shade, const ShadeSize& size) const {
    const PlannedShade& planned = question_.options.shades[shade];
    const ShadeMeasure measure = question_.options.yard->measure(sized(planned, size));
    return noonshell::cost_of(planned, measure) +
           planned.call_out_cost * static_cast<double>(measure.units.size());
}

std::size_t PlanScenes::trial_of(std::size_t shade, const ShadeSize& size, bool keep) {
    const auto same = [&](const ShadeTrial& trial) {
        return trial.shade == shade && trial.size == size;
    };
    const auto known = std::ranges::find_if(trials_, same);
    if (known != trials_.end()) return static_cast<std::size_t>(known - trials_.begin());
    const PlannedShade& planned = question_.options.shades[shade];
    const ShadeMeasure measure = question_.options.yard->measure(sized(planned, size));
    const std::size_t t = trials_.size();
    trials_.push_back({.shade = shade,
                       .size = size,
                       .area_m2 = measure.area_m2,
                       .pieces = measure.pieces,
                       .units = measure.units,
                       .cost = noonshell::cost_of(planned, measure),
                       .upkeep_per_year = noonshell::upkeep_per_year(planned, measure)});
    calls_.emplace_back();
    if (!planned.call_out.empty()) {
        for (const UnitId unit : measure.units)
            calls_.back().push_back({unit, planned.call_out, planned.call_out_cost});
    }
    bare().surfaces->prepare();
    const PlanScene& scene = with({t});
    trials_[t].light_left = scene.light_left;
    // Call-outs may be shared: they are taken off where all that asks for them is known.
    trials_[t].alone = burden({}) - burden({{t}, {}}) + counted_call_outs({{t}, {}});
    if (std::abs(trials_[t].alone) < share_that_counts * std::abs(burden({}))) trials_[t].alone = 0;
    taken_off_.emplace_back();
    for (const LimitedUnit& limited : bare().surfaces->runs().limited())
        taken_off_.back().push_back(
            figure_of(limited, plan_run({}), question_.inputs.envelope) -
            figure_of(limited, plan_run({{t}, {}}), question_.inputs.envelope));
    if (!keep) forget({t});
    return t;
}

std::vector<CallOut> PlanScenes::calls_together(const Built& built) const {
    std::vector<CallOut> calls;
    for (const std::size_t t : built) add_new(calls, calls_[t]);
    return calls;
}

double PlanScenes::cost_of(const Built& built) const {
    double sum = 0;
    for (const std::size_t t : built) sum += trials_[t].cost;
    return sum + sum_of_costs(calls_together(built));
}

std::vector<CallOut> PlanScenes::call_outs(const WholeChoice& whole) const {
    std::vector<CallOut> calls = calls_together(whole.built);
    add_new(calls, bare().surfaces->runs().costs().call_outs_paid(whole.finishes));
    return calls;
}

double PlanScenes::call_out_cost(const WholeChoice& whole) const {
    return sum_of_costs(call_outs(whole));
}

double PlanScenes::cost(const WholeChoice& whole) const {
    double sum = 0;
    for (const std::size_t t : whole.built) sum += trials_[t].cost;
    for (const std::size_t f : whole.finishes) sum += question_.finishes[f].cost;
    return sum + call_out_cost(whole);
}

double PlanScenes::upkeep_per_year(const WholeChoice& whole) const {
    double sum = bare().surfaces->runs().costs().upkeep_per_year(whole.finishes);
    for (const std::size_t t : whole.built) sum += trials_[t].upkeep_per_year;
    return sum;
}

double PlanScenes::counted(const Built& built) const {
    const PlanGoal goal = question_.options.goal;
    double sum = counted_once(goal, sum_of_costs(calls_together(built)));
    for (const std::size_t t : built) {
        const PlannedShade& planned = question_.options.shades[trials_[t].shade];
        sum += counted_cost(goal,
                            {.cost = trials_[t].cost,
                             .life_years = planned.life_years,
                             .upkeep_per_year = trials_[t].upkeep_per_year},
                            bare().surfaces->runs().prices());
    }
    return sum;
}

double PlanScenes::counted_call_outs(const WholeChoice& whole) const {
    return counted_once(question_.options.goal, call_out_cost(whole));
}

double PlanScenes::burden(const WholeChoice& whole) const {
    const PlanScene& scene = scenes_.at(whole.built);
    return scene.surfaces->runs().burden(whole.finishes) + counted(whole.built);
}

double PlanScenes::excess(const WholeChoice& whole) const {
    return scenes_.at(whole.built).surfaces->runs().excess(whole.finishes);
}

const PlanRun& PlanScenes::plan_run(const WholeChoice& whole) const {
    return scenes_.at(whole.built).surfaces->runs().run_of(whole.finishes);
}

}  // namespace noonshell
