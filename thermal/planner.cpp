#include "thermal/planner.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <set>

#include "geometry/diagnostics.hpp"
#include "geometry/roles.hpp"
#include "solar/parallel.hpp"
#include "thermal/budget_choice.hpp"
#include "thermal/exchanges.hpp"
#include "thermal/plan_runs.hpp"
#include "thermal/surface_trials.hpp"
#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

// Plans of up to this many budgets tell how much purchases help each other.
constexpr double size_that_counts = 1.5;
constexpr int most_turns = 6;
constexpr int most_exchanges = 4;
constexpr std::size_t most_swaps = 24;  // re-run for each exchange
// A unit's single savings are scaled to its re-run within these bounds.
constexpr double least_scale = 0.1, largest_scale = 2.0;
// Below this share of the whole burden an exchange is no gain: the heat run's own tolerance.
constexpr double gain_that_counts = 1e-6;

double sum_of(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0);
}

std::vector<Finish> allowed_finishes(const Envelope& envelope,
                                     std::span<const Treatment> treatments,
                                     const std::vector<std::string>& untouched) {
    std::vector<Finish> finishes = finishes_of(envelope, treatments);
    std::erase_if(finishes, [&](const Finish& finish) {
        const std::string& id = envelope.surfaces[finish.surface.index()].id;
        return std::ranges::any_of(
            untouched, [&](const std::string& pattern) { return matches_pattern(pattern, id); });
    });
    return finishes;
}

class Planner {
  public:
    Planner(const HeatInputs& inputs, const Building& base, std::span<const Treatment> treatments,
            const Relight& relight, const PlanOptions& options)
        : inputs_(inputs),
          trial_inputs_{inputs.envelope, inputs.exchange, inputs.exposure,
                        options.trial_surroundings != nullptr ? *options.trial_surroundings
                                                              : inputs.surroundings,
                        inputs.panes},
          base_(base),
          treatments_(treatments),
          relight_(relight),
          options_(options),
          finishes_(allowed_finishes(inputs.envelope, treatments, options.untouched)),
          runs_(inputs, base, treatments, finishes_, quick_relight_, options),
          scale_(inputs.envelope.units.size(), 1.0) {}

    Plan make() {
        find_single_savings();
        tell(0.5);
        Plan plan;
        Choice best = settle(options_.budget, plan.predicted_saving);
        tell(0.6);
        plan.swaps_run = exchange(best);
        tell(0.7);
        scale_to(best);
        std::vector<FrontierPoint> frontier = frontier_with(best);
        tell(0.9);
        // A plan of the frontier may be better than what the turns found.
        for (const FrontierPoint& point : frontier) {
            if (point.cost <= options_.budget && runs_.burden(point.finishes) < runs_.burden(best))
                best = point.finishes;
        }
        fill(plan, best);
        if (options_.samples > 0) plan.confidence = confidence(best, plan.steps);
        plan.frontier = std::move(frontier);
        tell(1);
        return plan;
    }

  private:
    std::size_t unit_of(std::size_t finish) const {
        return inputs_.envelope.surfaces[finishes_[finish].surface.index()].unit.index();
    }
    /// Upkeep is known and needs no scale.
    double worth(std::size_t finish) const {
        return alone_[finish] * scale_[unit_of(finish)] - upkeep(finish);
    }
    std::vector<double> worths() const {
        std::vector<double> worths(finishes_.size());
        for (std::size_t f = 0; f < worths.size(); ++f) worths[f] = worth(f);
        return worths;
    }
    double upkeep(std::size_t finish) const {
        return options_.goal == PlanGoal::running_cost
                   ? upkeep_over(finishes_[finish].upkeep_per_year, inputs_)
                   : 0.0;
    }
    double promised(const Choice& choice) const {
        double sum = 0;
        for (const std::size_t f : choice) sum += worth(f);
        return sum;
    }
    double alone(const Choice& choice) const {
        double sum = 0;
        for (const std::size_t f : choice) sum += alone_[f] - upkeep(f);
        return sum;
    }
    double saving(const Choice& choice) const { return runs_.burden({}) - runs_.burden(choice); }
    void tell(double share) const {
        if (options_.progress) options_.progress(share);
    }

    void find_single_savings() {
        HeatOptions heat = options_.heat;
        heat.keep_hours = heat.account = false;
        heat.stop = options_.stop;
        heat.progress = nullptr;
        runs_.run({Choice{}});
        const std::vector<double> before =
            burdens_of(options_.goal, simulate(trial_inputs_, base_, heat, &trace_),
                       options_.electricity_price_per_kwh);
        std::vector<SurfaceId> changed;
        for (const Finish& finish : finishes_) {
            if (changed.empty() || changed.back() != finish.surface)
                changed.push_back(finish.surface);
        }
        trials_.emplace(trial_inputs_, base_, trace_, changed);
        alone_.assign(finishes_.size(), 0.0);
        const KeptRuns kept(options_.store, trial_inputs_, base_, heat, "trial");
        for_each_task(options_.threads, finishes_.size(), [&](std::size_t f) {
            const Finish& finish = finishes_[f];
            const Construction changed_to =
                finished(base_.exposed[finish.surface.index()], finish, treatments_);
            const auto [active, after] = kept.outcome({finish.surface, &changed_to}, [&] {
                return trials_->run(finish.surface, changed_to, heat);
            });
            const std::vector<double> burdens =
                burdens_of(options_.goal, after, options_.electricity_price_per_kwh);
            for (std::size_t u = 0; u < burdens.size(); ++u) {
                if (active.units[u]) alone_[f] += before[u] - burdens[u];
            }
        });
    }

    BudgetChoice choose(double budget, bool scaled) const {
        const PurchaseCosts& costs = runs_.costs();
        std::vector<BudgetOption> options = costs.options();
        for (std::size_t f = 0; f < options.size(); ++f)
            options[f].worth = scaled ? worth(f) : alone_[f] - upkeep(f);
        return choose_within(options, budget, costs.charges());
    }

    /// Single savings of each unit scaled to what the re-run says of them together.
    void scale_to(const Choice& choice) {
        const std::vector<double> before = runs_.burdens({});
        std::vector<double> after = runs_.burdens(choice);
        std::vector<double> parts(before.size(), 0.0);
        for (const std::size_t f : choice) {
            parts[unit_of(f)] += alone_[f];
            after[unit_of(f)] -= upkeep(f);
        }
        for (std::size_t u = 0; u < parts.size(); ++u) {
            if (parts[u] <= 0) continue;
            scale_[u] = std::clamp((before[u] - after[u]) / parts[u], least_scale, largest_scale);
        }
    }

    Choice settle(double budget, double& predicted) {
        Choice best;
        std::set<Choice> seen;
        for (int turn = 0; turn < most_turns; ++turn) {
            const Choice choice = choose(budget, true).taken;
            const double promise = promised(choice);
            if (!seen.insert(choice).second) break;
            runs_.run({choice});
            if (turn == 0 || runs_.burden(choice) < runs_.burden(best)) {
                best = choice;
                predicted = promise;
            }
            scale_to(choice);
        }
        return best;
    }

    std::size_t exchange(Choice& best) {
        std::size_t tried = 0;
        for (int round = 0; round < most_exchanges; ++round) {
            scale_to(best);
            const std::vector<Choice> swaps = promising_exchanges(
                best, options_.budget, worths(), finishes_, runs_.costs(), most_swaps);
            const std::size_t before = runs_.n_runs();
            runs_.run(swaps);
            tried += runs_.n_runs() - before;
            const Choice* better = nullptr;
            double least = runs_.burden(best) - gain_that_counts * runs_.burden({});
            for (const Choice& swap : swaps) {
                if (runs_.burden(swap) >= least) continue;
                least = runs_.burden(swap);
                better = &swap;
            }
            if (better == nullptr) break;
            best = *better;
        }
        return tried;
    }

    std::vector<FrontierPoint> frontier_with(const Choice& plan) {
        const double everything =
            runs_.cost(choose(std::numeric_limits<double>::max(), true).taken);
        std::vector<double> budgets = {options_.budget};
        const int n = std::max(1, options_.frontier_points);
        for (int i = 0; i <= n; ++i) budgets.push_back(everything * i / n);
        std::sort(budgets.begin(), budgets.end());
        budgets.erase(std::unique(budgets.begin(), budgets.end()), budgets.end());

        std::vector<Choice> choices;
        for (const double budget : budgets) choices.push_back(choose(budget, true).taken);
        runs_.run(choices);
        // What a smaller budget buys a larger one buys as well.
        std::vector<FrontierPoint> points;
        Choice best;
        for (std::size_t i = 0; i < budgets.size(); ++i) {
            const auto take_if_better = [&](const Choice& choice) {
                if (runs_.cost(choice) <= budgets[i] && runs_.burden(choice) < runs_.burden(best))
                    best = choice;
            };
            take_if_better(choices[i]);
            take_if_better(plan);
            points.push_back({.budget = budgets[i],
                              .cost = runs_.cost(best),
                              .call_out_cost = runs_.costs().call_out_cost(best),
                              .burden = runs_.burden(best),
                              .cooling_j = sum_of(runs_.response(best).cooling_j),
                              .finishes = best});
        }
        return points;
    }

    /// In the order of work; each step's figures by a whole re-run.
    std::vector<PlanStep> in_order(const Choice& choice) {
        const std::vector<std::size_t> order =
            order_of_work(choice, worths(), finishes_, runs_.costs());
        std::vector<Choice> so_far = {{}};
        for (const std::size_t f : order) {
            Choice more = so_far.back();
            more.insert(std::lower_bound(more.begin(), more.end(), f), f);
            so_far.push_back(std::move(more));
        }
        runs_.run(so_far);
        std::vector<PlanStep> steps;
        for (std::size_t i = 0; i < order.size(); ++i) {
            const Choice &now = so_far[i + 1], &before = so_far[i];
            const auto saved = [&](PlanGoal goal) {
                const double price = options_.electricity_price_per_kwh;
                return sum_of(burdens_of(goal, runs_.response(before), price)) -
                       sum_of(burdens_of(goal, runs_.response(now), price));
            };
            const Finish& finish = finishes_[order[i]];
            const double calls =
                runs_.costs().call_out_cost(now) - runs_.costs().call_out_cost(before);
            steps.push_back({.finish = order[i],
                             .saves = runs_.burden(before) - runs_.burden(now),
                             .saves_cooling_j = saved(PlanGoal::cooling_energy),
                             .saves_peak_w = saved(PlanGoal::peak_load),
                             .saves_running = saved(PlanGoal::running_cost) -
                                              upkeep_over(finish.upkeep_per_year, inputs_),
                             .alone = alone_[order[i]] - upkeep(order[i]),
                             .call_out_cost = calls,
                             .cost = finish.cost + calls,
                             .cost_so_far = runs_.cost(now)});
        }
        return steps;
    }

    PlanConfidence confidence(const Choice& best, const std::vector<PlanStep>& steps) {
        scale_to(best);
        ConfidenceQuestion question{.inputs = trial_inputs_,
                                    .base = base_,
                                    .treatments = treatments_,
                                    .finishes = finishes_,
                                    .costs = runs_.costs(),
                                    .alone = alone_,
                                    .plan = best,
                                    .budget = options_.budget,
                                    .goal = options_.goal,
                                    .electricity_price_per_kwh = options_.electricity_price_per_kwh,
                                    .spread = options_.spread,
                                    .samples = options_.samples,
                                    .heat = options_.heat,
                                    .threads = options_.threads,
                                    .stop = options_.stop};
        for (std::size_t f = 0; f < finishes_.size(); ++f) {
            question.scale.push_back(scale_[unit_of(f)]);
            question.upkeep.push_back(upkeep(f));
        }
        PlanConfidence found = confidence_of(question);
        std::vector<double> in_order;
        for (const PlanStep& step : steps) {
            const auto at = std::ranges::lower_bound(best, step.finish) - best.begin();
            in_order.push_back(found.stays[static_cast<std::size_t>(at)]);
        }
        found.stays = std::move(in_order);
        return found;
    }

    void fill(Plan& plan, const Choice& best) {
        plan.goal = options_.goal;
        plan.budget = options_.budget;
        plan.cost = runs_.cost(best);
        plan.call_out_cost = runs_.costs().call_out_cost(best);
        plan.upkeep_per_year = runs_.costs().upkeep_per_year(best);
        plan.upkeep_over_period = upkeep_over(plan.upkeep_per_year, inputs_);
        plan.calls = runs_.costs().call_outs_paid(best);
        plan.steps = in_order(best);
        plan.burden_before = runs_.burden({});
        plan.burden_after = runs_.burden(best);
        PlanRuns anew(inputs_, base_, treatments_, finishes_, relight_, options_, "light anew");
        anew.run({best});
        plan.burden_checked = anew.burden(best);
        bool any = false;
        for (const auto& [choice, response] : runs_.all()) {
            const double parts = alone(choice);
            if (parts <= 0 || runs_.cost(choice) > size_that_counts * options_.budget) continue;
            const double share = saving(choice) / parts - 1;
            plan.helping_share = any ? std::max(plan.helping_share, share) : share;
            any = true;
        }
        plan.most_saving =
            choose(options_.budget, false).most_worth * (1 + std::max(0.0, plan.helping_share));
        plan.most_saving = std::max(plan.most_saving, plan.saving());
        plan.plans_run = runs_.n_runs();
        plan.before = runs_.response({});
        plan.after = runs_.response(best);
        for (std::size_t f = 0; f < finishes_.size(); ++f)
            plan.alone.push_back(alone_[f] - upkeep(f));
        plan.finishes = finishes_;
    }

    const HeatInputs& inputs_;
    const HeatInputs trial_inputs_;
    const Building& base_;
    std::span<const Treatment> treatments_;
    const Relight& relight_;
    const PlanOptions& options_;
    std::vector<Finish> finishes_;
    Trace trace_;  // of the base, by trial_inputs_
    std::optional<SurfaceTrials> trials_;
    Relight quick_relight_ = [this](std::span<const double> reflectance) {
        return trials_->light_with(reflectance);
    };
    PlanRuns runs_;
    std::vector<double> alone_;  // #finishes
    std::vector<double> scale_;  // #units
};

void check(const PlanOptions& options) {
    const auto require = [](bool holds, const char* what, double seen) {
        if (!holds) throw InputError({.entity = what}, "0 or more", std::to_string(seen));
    };
    require(std::isfinite(options.budget) && options.budget >= 0, "budget", options.budget);
    require(
        std::isfinite(options.electricity_price_per_kwh) && options.electricity_price_per_kwh >= 0,
        "electricity price", options.electricity_price_per_kwh);
}

}  // namespace

Plan make_plan(const HeatInputs& inputs, const Building& base,
               std::span<const Treatment> treatments, const Relight& relight,
               const PlanOptions& options) {
    check(options);
    for (const Treatment& treatment : treatments) validate(treatment);
    validate_together(treatments);
    return Planner(inputs, base, treatments, relight, options).make();
}

}  // namespace noonshell
