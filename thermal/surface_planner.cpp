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

constexpr std::size_t no_finish = static_cast<std::size_t>(-1);

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

/// A peak may fall on any day; of energies some days tell enough to choose by.
ThinnedDays days_to_choose_by(const HeatInputs& inputs, const PlanOptions& options) {
    constexpr std::size_t most_days = 24;
    const bool peaks = options.goal == PlanGoal::peak_load;
    return thinned_days(inputs, peaks ? std::numeric_limits<std::size_t>::max() : most_days);
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
      days_(days_to_choose_by(trial_inputs_, question.options)),
      day_inputs_{trial_inputs_.envelope, trial_inputs_.exchange, days_.exposure,
                  days_.surroundings, days_.panes ? &*days_.panes : nullptr},
      runs_({question_.inputs, question_.base, question_.treatments, question_.finishes,
             quick_relight_, question_.options, "light moved", question_.paid}),
      long_step_runs_({trial_inputs_, question_.base, question_.treatments, question_.finishes,
                       quick_relight_, question_.options, "light moved", question_.paid}),
      day_runs_({day_inputs_, question_.base, question_.treatments, question_.finishes,
                 day_relight_, question_.options, "light moved", question_.paid}),
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
        if (i == 0) {
            runs_.run({Choice{}});
            return;
        }
        HeatOptions heat = trial_heat(options);
        heat.keep_hours = true;
        bare.response = simulate(trial_inputs_, question_.base, heat, &trace_);
    });
    base_cooling_w_ = std::move(bare.response.cooling_w);
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
    return choose_by(worths(), budget);
}

Choice SurfacePlanner::choose_by(std::span<const double> worths, double budget) const {
    std::vector<BudgetOption> options = runs_.costs().options();
    for (std::size_t f = 0; f < options.size(); ++f) options[f].worth = worths[f];
    return choose_within(options, budget, charges(), 0, {}, demands()).taken;
}

std::vector<Choice> SurfacePlanner::choose_for_all(std::span<const double> budgets) {
    std::vector<std::vector<double>> views{worths()};  // from below, then between, then from above
    if (!from_above_.empty()) {
        views.push_back(from_above_);
        for (std::size_t f = 0; f < from_above_.size(); ++f)
            views.back()[f] = (views.front()[f] + from_above_[f]) / 2;
        views.push_back(from_above_);
    }
    std::vector<Choice> found(views.size() * budgets.size());
    for_each_task(question_.options.threads, found.size(), [&](std::size_t k) {
        found[k] = choose_by(views[k % views.size()], budgets[k / views.size()]);
    });
    std::vector<Choice> chosen;
    std::vector<std::vector<Choice>> besides(budgets.size());
    std::vector<Choice> to_compare;
    for (std::size_t i = 0; i < budgets.size(); ++i) {
        const auto first = found.begin() + static_cast<std::ptrdiff_t>(i * views.size());
        chosen.push_back(*first);
        for (auto choice = first + 1; choice != first + std::ssize(views); ++choice) {
            if (*choice != chosen.back() &&
                std::ranges::find(besides[i], *choice) == besides[i].end())
                besides[i].push_back(*choice);
        }
        if (besides[i].empty()) continue;
        to_compare.push_back(chosen.back());
        to_compare.insert(to_compare.end(), besides[i].begin(), besides[i].end());
    }
    if (to_compare.empty()) return chosen;
    to_compare.push_back({});
    day_runs_.run(to_compare);
    // Of what a plan saves, what such days may miss.
    constexpr double missed_by_days = 0.003;
    const double before = day_runs_.burden({});
    for (std::size_t i = 0; i < budgets.size(); ++i) {
        if (besides[i].empty()) continue;
        const auto saves = [&](const Choice& choice) { return before - day_runs_.burden(choice); };
        const Choice by_single = chosen[i];
        double most = saves(by_single) + missed_by_days * std::abs(saves(by_single));
        for (Choice& choice : besides[i]) {
            if (saves(choice) <= most) continue;
            most = saves(choice);
            chosen[i] = std::move(choice);
        }
    }
    return chosen;
}

/// Of the period, those kept in days_.
std::vector<std::size_t> SurfacePlanner::hours_of_days() const {
    std::vector<std::size_t> hours;
    for (const std::size_t day : days_.days) {
        for (std::size_t h = 0; h < hours_per_day; ++h) hours.push_back(day * hours_per_day + h);
    }
    return hours;
}

/// Limits and rooms without cooling are left to the scaled single savings.
bool SurfacePlanner::can_look_about() const {
    return wanted_limits(question_.options).empty() && !question_.options.limits.any() &&
           !unlimited_trials_;
}

/// Whether a plan that was run saves what its parts save alone, or next to it.
bool SurfacePlanner::parts_add_up(const Choice& choice) const {
    constexpr double next_to_it = 0.03;
    const double parts = alone_together(choice);
    const double saved = runs_.burden({}) - runs_.burden(choice);
    return std::abs(saved - parts) <= next_to_it * std::abs(parts);
}

/// Finishes beside which the surface can have no cheaper one that saves as much alone.
std::vector<std::size_t> SurfacePlanner::worth_a_look() const {
    constexpr double as_much = 1.05;
    const std::vector<Finish>& finishes = question_.finishes;
    std::vector<std::size_t> list;
    for (std::size_t f = 0; f < finishes.size(); ++f) {
        bool beaten = alone_[f] <= 0;
        for (std::size_t g = 0; g < finishes.size() && !beaten; ++g) {
            beaten = finishes[g].surface == finishes[f].surface &&
                     finishes[g].cost <= finishes[f].cost && counted(g) <= counted(f) &&
                     alone_[g] >= as_much * alone_[f];
        }
        if (!beaten) list.push_back(f);
    }
    return list;
}

/// What finishes save in place of a bare surface where all else is finished as in `choice`, what
/// the goal counts taken off, #finishes; 0 for those not worth a look.
std::vector<double> SurfacePlanner::worths_about(const Choice& choice) const {
    const PlanOptions& options = question_.options;
    const std::vector<Finish>& finishes = question_.finishes;
    Building about = question_.base;
    std::vector<std::size_t> has(about.exposed.size(), no_finish);
    for (const std::size_t f : choice) {
        const std::size_t s = finishes[f].surface.index();
        has[s] = f;
        about.exposed[s] = finished(question_.base.exposed[s], finishes[f], question_.treatments);
    }
    const Exposure light = day_relight_(outside_reflectance(about));
    const HeatInputs inputs{day_inputs_.envelope, day_inputs_.exchange, light,
                            day_inputs_.surroundings, day_inputs_.panes};
    constexpr double warm_up_days = 3;
    HeatOptions heat = trial_heat(options);
    if (days_.stands_for > 1) {
        heat.warm_up_days = warm_up_days;
        heat.most_passes = 1;  // days far apart do not come round
    }
    Trace trace;
    const std::vector<double> now =
        burdens_of(options.goal, {simulate(inputs, about, heat, &trace)}, runs_.prices());
    struct Trial {
        SurfaceId surface;
        std::size_t finish;  // no_finish: bare
        double saves = 0;
    };
    std::vector<Trial> trials;
    std::vector<SurfaceId> changed;
    for (const std::size_t f : worth_a_look()) {
        const SurfaceId surface = finishes[f].surface;
        if (changed.empty() || changed.back() != surface) {
            changed.push_back(surface);
            if (has[surface.index()] != no_finish) trials.push_back({surface, no_finish});
        }
        if (has[surface.index()] != f) trials.push_back({surface, f});
    }
    const SurfaceTrials runner(inputs, about, trace, changed);
    const KeptRuns kept(options.store, inputs, about, heat, trial_form(options));
    for_each_task(options.threads, trials.size(), [&](std::size_t i) {
        const std::size_t s = trials[i].surface.index();
        const Construction& bare = question_.base.exposed[s];
        const Construction changed_to =
            trials[i].finish == no_finish
                ? bare
                : finished(bare, finishes[trials[i].finish], question_.treatments);
        const auto [active, after] = kept.outcome({trials[i].surface, &changed_to}, [&] {
            auto [part, response] = runner.run(trials[i].surface, changed_to, heat);
            return KeptRuns::Outcome{std::move(part), {std::move(response)}};
        });
        const std::vector<double> burdens = burdens_of(options.goal, after, runs_.prices());
        for (std::size_t u = 0; u < burdens.size(); ++u) {
            if (active.units[u]) trials[i].saves += days_.stands_for * (now[u] - burdens[u]);
        }
    });
    std::vector<double> worths(finishes.size(), 0.0);
    std::vector<double> bare_saves(about.exposed.size(), 0.0);
    for (const Trial& trial : trials) {
        if (trial.finish == no_finish) bare_saves[trial.surface.index()] = trial.saves;
    }
    for (const Trial& trial : trials) {
        if (trial.finish == no_finish) continue;
        worths[trial.finish] =
            trial.saves - bare_saves[trial.surface.index()] - counted(trial.finish);
    }
    for (const std::size_t f : choice)
        worths[f] = -bare_saves[finishes[f].surface.index()] - counted(f);
    return worths;
}

void SurfacePlanner::look_from_above() {
    if (!can_look_about()) return;
    const Choice dearest = choose(std::numeric_limits<double>::max());
    runs_.run({dearest});
    if (!parts_add_up(dearest)) from_above_ = worths_about(dearest);
}

void SurfacePlanner::look_about(Choice& best, double budget) {
    constexpr int most_looks = 2;
    if (!can_look_about()) return;
    for (int look = 0; look < most_looks && !parts_add_up(best); ++look) {
        about_best_ = worths_about(best);
        const Choice choice = choose_by(about_best_, budget);
        runs_.run({choice});
        if (judged(choice) >= judged(best)) break;
        best = choice;
    }
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

std::vector<SurfacePlanner::Helped> SurfacePlanner::helped_in_long_steps(double most_cost) const {
    const double before = std::accumulate(bare_.begin(), bare_.end(), 0.0);
    std::vector<Helped> helped;
    for (const auto& [choice, run] : long_step_runs_.all()) {
        const double parts = alone_together(choice);
        if (parts <= 0 || long_step_runs_.cost(choice) > most_cost) continue;
        helped.push_back({parts, (before - long_step_runs_.burden(choice)) / parts - 1});
    }
    return helped;
}

SurfacePlanner::Exchanged SurfacePlanner::exchange(Choice& best, double budget) {
    Exchanged count;
    for (int round = 0; round < most_exchanges; ++round) {
        scale_to(best);
        const std::vector<Choice> all =
            promising_exchanges(best, budget, about_best_.empty() ? worths() : about_best_,
                                question_.finishes, runs_.costs(), most_swaps);
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
