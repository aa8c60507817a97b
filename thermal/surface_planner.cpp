#include "thermal/surface_planner.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <numeric>
#include <set>
#include <string>

#include "solar/parallel.hpp"
#include "thermal/budget_choice.hpp"
#include "thermal/exchanges.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

namespace {

constexpr int most_turns = 6;
constexpr int most_exchanges = 4;
constexpr std::size_t most_swaps = 24;  // re-run for each exchange
// A unit's single savings are scaled to its re-run within these bounds.
constexpr double least_scale = 0.1, largest_scale = 2.0;
// Of what an exchange moves, more than long steps miss (a hundredth or less).
constexpr double missed_by_long_steps = 0.03;
// Of what a limit wants, an effect too small to be one.
constexpr double least_gain = 1e-6;

HeatInputs in_long_steps(const HeatInputs& inputs, const PlanOptions& options) {
    return {
        inputs.envelope, inputs.exchange, inputs.exposure,
        options.trial_surroundings != nullptr ? *options.trial_surroundings : inputs.surroundings,
        inputs.panes};
}

/// Whether anything is asked of trials with cooling but the loads of plants.
bool wants_energies(const PlanOptions& options) {
    const bool by_goal = options.goal != PlanGoal::peak_load && options.goal != PlanGoal::too_hot;
    return by_goal || options.limits.cooling_j_m2.has_value();
}

/// What a trial holds, for the store: trials of other goals hold other figures.
std::string trial_form(const PlanOptions& options) {
    std::string form = "trial";
    if (wants_energies(options)) form += " with energies";
    if (wants_loads(options)) form += " with loads";
    return form;
}

HeatOptions trial_heat(const PlanOptions& options) {
    HeatOptions heat = options.heat;
    heat.keep_hours = heat.account = false;
    heat.stop = options.stop;
    heat.progress = nullptr;
    return heat;
}

}  // namespace

SurfacePlanner::SurfacePlanner(const SurfaceQuestion& question)
    : question_(question),
      trial_inputs_(in_long_steps(question.inputs, question.options)),
      runs_({question_.inputs, question_.base, question_.treatments, question_.finishes,
             quick_relight_, question_.options, "light moved", question_.paid}),
      long_step_runs_({trial_inputs_, question_.base, question_.treatments, question_.finishes,
                       quick_relight_, question_.options, "light moved", question_.paid}),
      scale_(question.inputs.envelope.units.size(), 1.0) {}

std::size_t SurfacePlanner::unit_of(std::size_t finish) const {
    const SurfaceId surface = question_.finishes[finish].surface;
    return question_.inputs.envelope.surfaces[surface.index()].unit.index();
}

std::vector<double> SurfacePlanner::worths() const {
    std::vector<double> worths(question_.finishes.size());
    for (std::size_t f = 0; f < worths.size(); ++f) worths[f] = worth(f);
    return worths;
}

double SurfacePlanner::promised(const Choice& choice) const {
    double sum = 0;
    for (const std::size_t f : choice) sum += worth(f);
    return sum - runs_.counted_call_outs(choice);
}

double SurfacePlanner::alone_together(const Choice& choice) const {
    double sum = 0;
    for (const std::size_t f : choice) sum += alone_[f] - counted(f);
    return sum - runs_.counted_call_outs(choice);
}

std::vector<BudgetCharge> SurfacePlanner::charges() const {
    std::vector<BudgetCharge> charges = runs_.costs().charges();
    for (BudgetCharge& charge : charges)
        charge.lost = counted_once(question_.options.goal, charge.cost);
    return charges;
}

void SurfacePlanner::prepare() {
    if (trials_) return;
    const PlanOptions& options = question_.options;
    PlanRun bare;
    for_each_task(options.threads, 2, [&](std::size_t i) {
        if (i == 0)
            runs_.run({Choice{}});
        else
            bare.response = simulate(trial_inputs_, question_.base, trial_heat(options), &trace_);
    });
    std::vector<SurfaceId> changed;
    for (const Finish& finish : question_.finishes) {
        if (changed.empty() || changed.back() != finish.surface) changed.push_back(finish.surface);
    }
    trials_.emplace(trial_inputs_, question_.base, trace_, changed);
    if (!wanted_limits(options).empty()) {
        free_base_ = free_running(question_.base);
        HeatOptions heat = trial_heat(options);
        heat.keep_hours = true;
        bare.too_hot = too_hot_of(simulate(trial_inputs_, free_base_, heat, &free_trace_),
                                  wanted_limits(options));
        free_trials_.emplace(trial_inputs_, free_base_, free_trace_, *trials_);
    }
    if (wants_loads(options) && has_limits(question_.base)) {
        unlimited_base_ = without_limits(question_.base);
        put_loads(simulate(trial_inputs_, unlimited_base_, trial_heat(options), &unlimited_trace_),
                  bare.response);
        unlimited_trials_.emplace(trial_inputs_, unlimited_base_, unlimited_trace_, *trials_);
    }
    bare_ = burdens_of(options.goal, bare, runs_.prices());
    for (const LimitedUnit& limited : runs_.limited())
        bare_figures_.push_back(figure_of(limited, bare, question_.inputs.envelope));
    figure_scale_.assign(bare_figures_.size(), 1.0);
}

KeptRuns::Outcome SurfacePlanner::try_finish(SurfaceId surface,
                                             const Construction& changed_to) const {
    const PlanOptions& options = question_.options;
    HeatOptions heat = trial_heat(options);
    KeptRuns::Outcome outcome;
    if (free_trials_) {
        heat.keep_hours = true;
        auto [active, response] = free_trials_->run(surface, changed_to, heat);
        std::vector<TooHot> too_hot = too_hot_of(response, wanted_limits(options));
        outcome = {std::move(active), {std::move(response), std::move(too_hot)}};
        if (!wants_energies(options) && !wants_loads(options)) return outcome;
        heat.keep_hours = false;
    }
    // Plants without limits tell loads only: energies are those of the plants that are there.
    const bool loads_only = unlimited_trials_ && !wants_energies(options);
    auto [active, response] =
        (loads_only ? *unlimited_trials_ : *trials_).run(surface, changed_to, heat);
    if (unlimited_trials_ && !loads_only)
        put_loads(unlimited_trials_->run(surface, changed_to, heat).response, response);
    outcome.active = std::move(active);
    outcome.run.response = std::move(response);
    return outcome;
}

void SurfacePlanner::find_single_savings() {
    try_finishes(nullptr, {});
}

void SurfacePlanner::find_single_savings(const SurfacePlanner& like,
                                         std::span<const std::uint8_t> again) {
    try_finishes(&like, again);
}

void SurfacePlanner::try_finishes(const SurfacePlanner* like, std::span<const std::uint8_t> again) {
    if (!alone_.empty()) return;
    prepare();
    const PlanOptions& options = question_.options;
    const HeatOptions heat = trial_heat(options);
    const std::size_t n_finishes = question_.finishes.size();
    const std::vector<LimitedUnit>& limited = runs_.limited();
    alone_.assign(n_finishes, 0.0);
    taken_off_.assign(limited.size(), std::vector<double>(n_finishes, 0.0));
    const double least =
        share_that_counts * std::abs(std::accumulate(bare_.begin(), bare_.end(), 0.0));
    const KeptRuns kept(options.store, trial_inputs_, question_.base, heat, trial_form(options),
                        wanted_limits(options));
    for_each_task(options.threads, question_.finishes.size(), [&](std::size_t f) {
        const Finish& finish = question_.finishes[f];
        const std::size_t s = finish.surface.index();
        if (like != nullptr && again[s] == 0) {
            alone_[f] = like->alone_[f];
            for (std::size_t l = 0; l < limited.size(); ++l)
                taken_off_[l][f] = like->taken_off_[l][f];
            return;
        }
        const Construction changed_to =
            finished(question_.base.exposed[s], finish, question_.treatments);
        const auto [active, after] = kept.outcome(
            {finish.surface, &changed_to}, [&] { return try_finish(finish.surface, changed_to); });
        const std::vector<double> burdens = burdens_of(options.goal, after, runs_.prices());
        for (std::size_t u = 0; u < burdens.size(); ++u) {
            if (active.units[u]) alone_[f] += bare_[u] - burdens[u];
        }
        if (std::abs(alone_[f]) < least) alone_[f] = 0;
        for (std::size_t l = 0; l < limited.size(); ++l) {
            if (active.units[limited[l].unit.index()])
                taken_off_[l][f] =
                    bare_figures_[l] - figure_of(limited[l], after, question_.inputs.envelope);
        }
    });
}

Choice SurfacePlanner::choose(double budget) const {
    const PurchaseCosts& costs = runs_.costs();
    std::vector<BudgetOption> options = costs.options();
    for (std::size_t f = 0; f < options.size(); ++f) options[f].worth = worth(f);
    return choose_within(options, budget, charges(), 0, {}, demands()).taken;
}

std::vector<BudgetDemand> SurfacePlanner::demands() const {
    std::vector<BudgetDemand> demands;
    for (std::size_t l = 0; l < runs_.limited().size(); ++l) {
        const LimitedUnit& limited = runs_.limited()[l];
        BudgetDemand demand;
        demand.wanted =
            figure_of(limited, runs_.run_of({}), question_.inputs.envelope) - limited.limit;
        if (demand.wanted <= 0) continue;
        for (std::size_t f = 0; f < alone_.size(); ++f) {
            const double gain = figure_scale_[l] * taken_off_[l][f];
            if (std::abs(gain) > least_gain * demand.wanted) demand.gains.emplace_back(f, gain);
        }
        demands.push_back(std::move(demand));
    }
    return demands;
}

std::vector<SampledLimit> SurfacePlanner::sampled_limits(const Choice& choice) const {
    const Envelope& envelope = question_.inputs.envelope;
    std::vector<SampledLimit> limits;
    for (std::size_t l = 0; l < runs_.limited().size(); ++l) {
        const LimitedUnit& limited = runs_.limited()[l];
        limits.push_back({.limited = limited,
                          .bare = figure_of(limited, runs_.run_of({}), envelope),
                          .planned = figure_of(limited, runs_.run_of(choice), envelope),
                          .taken_off = taken_off_[l],
                          .scale = figure_scale_[l]});
    }
    return limits;
}

void SurfacePlanner::scale_to(const Choice& choice) {
    const std::vector<double> before = runs_.burdens({});
    std::vector<double> after = runs_.burdens(choice);
    std::vector<double> parts(before.size(), 0.0);
    for (const std::size_t f : choice) parts[unit_of(f)] += alone_[f];
    const std::vector<double> costs = runs_.counted_costs(choice);
    for (std::size_t u = 0; u < parts.size(); ++u) {
        after[u] -= costs[u];
        if (parts[u] <= 0) continue;
        scale_[u] = std::clamp((before[u] - after[u]) / parts[u], least_scale, largest_scale);
    }
    const Envelope& envelope = question_.inputs.envelope;
    for (std::size_t l = 0; l < runs_.limited().size(); ++l) {
        const LimitedUnit& limited = runs_.limited()[l];
        double promised_off = 0;
        for (const std::size_t f : choice) promised_off += taken_off_[l][f];
        if (promised_off <= 0) continue;
        const double off = figure_of(limited, runs_.run_of({}), envelope) -
                           figure_of(limited, runs_.run_of(choice), envelope);
        // A hair less than seen, so that the next plan does not stop just above the limit.
        constexpr double hair = 0.999;
        figure_scale_[l] = std::clamp(hair * off / promised_off, least_scale, largest_scale);
    }
}

Choice SurfacePlanner::settle(double budget, double& predicted) {
    Choice best;
    std::set<Choice> seen;
    predicted = 0;
    for (int turn = 0; turn < most_turns; ++turn) {
        const Choice choice = choose(budget);
        const double promise = promised(choice);
        if (!seen.insert(choice).second) break;
        runs_.run({choice});
        if (judged(choice) < judged(best)) {
            best = choice;
            predicted = promise;
        }
        scale_to(choice);
    }
    return best;
}

double SurfacePlanner::worth_exchanged(const Choice& from, const Choice& to) const {
    Choice moved;
    std::ranges::set_symmetric_difference(from, to, std::back_inserter(moved));
    double sum = 0;
    for (const std::size_t f : moved) sum += std::abs(alone_[f] * scale_of(f));
    return sum;
}

/// Exchanges that a re-run in long steps does not find worse by more than such steps miss. Figures
/// that hang on single hours and limits are left to full re-runs.
std::vector<Choice> SurfacePlanner::not_ruled_out(const Choice& best, std::vector<Choice> swaps) {
    const PlanOptions& options = question_.options;
    if (options.trial_surroundings == nullptr || swaps.empty() || wants_loads(options) ||
        !wanted_limits(options).empty() || options.limits.any())
        return swaps;
    std::vector<Choice> runs = swaps;
    runs.push_back(best);
    long_step_runs_.run(runs);
    const double least = long_step_runs_.burden(best);
    std::erase_if(swaps, [&](const Choice& swap) {
        return long_step_runs_.burden(swap) - least >
               missed_by_long_steps * worth_exchanged(best, swap);
    });
    return swaps;
}

double SurfacePlanner::helping_in_long_steps(double most_cost) const {
    const double before = std::accumulate(bare_.begin(), bare_.end(), 0.0);
    double most = -std::numeric_limits<double>::infinity();
    for (const auto& [choice, run] : long_step_runs_.all()) {
        const double parts = alone_together(choice);
        if (parts <= 0 || long_step_runs_.cost(choice) > most_cost) continue;
        most = std::max(most, (before - long_step_runs_.burden(choice)) / parts - 1);
    }
    return most;
}

SurfacePlanner::Exchanged SurfacePlanner::exchange(Choice& best, double budget) {
    Exchanged count;
    for (int round = 0; round < most_exchanges; ++round) {
        scale_to(best);
        const std::vector<Choice> all = promising_exchanges(
            best, budget, worths(), question_.finishes, runs_.costs(), most_swaps);
        const std::vector<Choice> swaps = not_ruled_out(best, all);
        const std::size_t before = runs_.n_runs();
        runs_.run(swaps);
        count.tried += all.size();
        count.re_run += runs_.n_runs() - before;
        const Choice* better = nullptr;
        double least = judged(best) - share_that_counts * std::abs(runs_.burden({}));
        for (const Choice& swap : swaps) {
            if (judged(swap) >= least) continue;
            least = judged(swap);
            better = &swap;
        }
        if (better == nullptr) break;
        best = *better;
    }
    return count;
}

}  // namespace noonshell
