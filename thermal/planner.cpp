#include "thermal/planner.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <set>

#include "geometry/diagnostics.hpp"
#include "geometry/roles.hpp"
#include "solar/parallel.hpp"
#include "thermal/plan_scenes.hpp"
#include "thermal/shade_search.hpp"
#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

// Plans of up to this many budgets tell how much purchases help each other.
constexpr double size_that_counts = 1.5;
// Sceneries re-run for each budget of the frontier, those that promise most.
constexpr std::size_t most_sceneries = 2;

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
        : options_(options),
          finishes_(allowed_finishes(inputs.envelope, treatments, options.untouched)),
          question_{.inputs = inputs,
                    .base = base,
                    .treatments = treatments,
                    .finishes = finishes_,
                    .options = options_},
          scenes_(question_, relight),
          search_(scenes_, question_) {}

    Plan make() {
        bare().find_single_savings();
        tell(0.5);
        Plan plan;
        WholeChoice best = search_.find(options_.budget, plan.predicted_saving);
        tell(0.6);
        SurfacePlanner& surfaces = surfaces_of(best);
        surfaces.look_about(best.finishes, options_.budget - scenes_.cost_of(best.built));
        const SurfacePlanner::Exchanged exchanged =
            surfaces.exchange(best.finishes, options_.budget - scenes_.cost_of(best.built));
        plan.swaps_tried = exchanged.tried;
        plan.swaps_run = exchanged.re_run;
        tell(0.7);
        surfaces.scale_to(best.finishes);
        std::vector<FrontierPoint> frontier = frontier_with(best);
        tell(0.9);
        // A plan of the frontier may be better than what the turns found.
        for (const FrontierPoint& point : frontier) {
            const WholeChoice whole{point.shades, point.finishes};
            if (point.cost <= options_.budget && scenes_.judged(whole) < scenes_.judged(best))
                best = whole;
        }
        const auto met = std::ranges::find_if(frontier, &FrontierPoint::meets_limits);
        require_limits(bare().runs().limited(), scenes_.plan_run(best), question_.inputs.envelope,
                       options_.budget,
                       met == frontier.end() ? std::nullopt : std::optional(met->budget));
        fill(plan, best);
        while (const std::optional<WholeChoice> less = without_idle(best, plan.steps)) {
            best = *less;
            fill(plan, best);
        }
        if (options_.samples > 0) plan.confidence = confidence(best, plan.steps);
        plan.frontier = std::move(frontier);
        tell(1);
        return plan;
    }

  private:
    SurfacePlanner& bare() { return *scenes_.bare().surfaces; }
    SurfacePlanner& surfaces_of(const WholeChoice& whole) {
        return *scenes_.with(whole.built).surfaces;
    }
    double saving(const WholeChoice& whole) const {
        return scenes_.burden({}) - scenes_.burden(whole);
    }
    void tell(double share) const {
        if (options_.progress) options_.progress(share);
    }

    /// For each budget the plans that promise most, by scenery.
    std::vector<std::vector<WholeChoice>> promising(const std::vector<double>& budgets) {
        std::vector<std::vector<std::pair<double, WholeChoice>>> all(budgets.size());
        for (const Built& built : search_.planned()) {
            const PlanScene& scene = scenes_.with(built);
            std::vector<double> left;
            const auto first = std::ranges::lower_bound(budgets, scene.cost);
            for (auto budget = first; budget != budgets.end(); ++budget)
                left.push_back(*budget - scene.cost);
            std::vector<Choice> chosen = scene.surfaces->choose_for_all(left);
            for (std::size_t k = 0; k < chosen.size(); ++k) {
                const double promise = saving({built, {}}) + scene.surfaces->promised(chosen[k]);
                all[static_cast<std::size_t>(first - budgets.begin()) + k].emplace_back(
                    promise, WholeChoice{built, std::move(chosen[k])});
            }
        }
        std::vector<std::vector<WholeChoice>> most(budgets.size());
        for (std::size_t i = 0; i < budgets.size(); ++i) {
            std::ranges::stable_sort(
                all[i], [](const auto& a, const auto& b) { return a.first > b.first; });
            for (std::size_t k = 0; k < std::min(most_sceneries, all[i].size()); ++k)
                most[i].push_back(std::move(all[i][k].second));
        }
        return most;
    }

    std::vector<FrontierPoint> frontier_with(const WholeChoice& plan) {
        double everything = 0;
        for (const Built& built : search_.planned()) {
            scenes_.with(built).surfaces->look_from_above();
            const Choice all =
                scenes_.with(built).surfaces->choose(std::numeric_limits<double>::max());
            everything = std::max(everything, scenes_.cost({built, all}));
        }
        std::vector<double> budgets = {options_.budget};
        const int n = std::max(1, options_.frontier_points);
        for (int i = 0; i <= n; ++i) budgets.push_back(everything * i / n);
        std::sort(budgets.begin(), budgets.end());
        budgets.erase(std::unique(budgets.begin(), budgets.end()), budgets.end());

        const std::vector<std::vector<WholeChoice>> wholes = promising(budgets);
        std::map<Built, std::vector<Choice>> to_run;
        for (const std::vector<WholeChoice>& at_budget : wholes) {
            for (const WholeChoice& whole : at_budget)
                to_run[whole.built].push_back(whole.finishes);
        }
        for (const auto& [built, choices] : to_run)
            scenes_.with(built).surfaces->runs().run(choices);
        // What a smaller budget buys a larger one buys as well.
        std::vector<FrontierPoint> points;
        WholeChoice best;
        for (std::size_t i = 0; i < budgets.size(); ++i) {
            const auto take_if_better = [&](const WholeChoice& whole) {
                if (scenes_.cost(whole) <= budgets[i] &&
                    scenes_.judged(whole) < scenes_.judged(best) - least_gain())
                    best = whole;
            };
            for (const WholeChoice& whole : wholes[i]) take_if_better(whole);
            take_if_better(plan);
            points.push_back({.budget = budgets[i],
                              .cost = scenes_.cost(best),
                              .call_out_cost = scenes_.call_out_cost(best),
                              .burden = scenes_.burden(best),
                              .cooling_j = sum_of(scenes_.response(best).cooling_j),
                              .finishes = best.finishes,
                              .shades = best.built,
                              .meets_limits = scenes_.excess(best) <= 0});
        }
        return points;
    }

    /// One purchase of a plan.
    struct Purchase {
        std::optional<std::size_t> shade;
        std::size_t finish = 0;
    };

    /// Finishes in their order of work, each shade before the first of them that is worth less for
    /// its cost. `worth`: of finishes, #finishes, and by trial of shades.
    struct Worths {
        std::vector<double> of_finish;
        std::map<std::size_t, double> of_shade;
    };
    std::vector<Purchase> in_order(const WholeChoice& whole, const Worths& worths) {
        Built shades = whole.built;
        const auto shade_worth = [&](std::size_t t) {
            return worths.of_shade.at(t) / scenes_.cost_of({t});
        };
        std::ranges::stable_sort(
            shades, [&](std::size_t a, std::size_t b) { return shade_worth(a) > shade_worth(b); });
        std::vector<Purchase> order;
        auto next = shades.begin();
        for (const std::size_t f : order_of_work(whole.finishes, worths.of_finish, finishes_,
                                                 surfaces_of(whole).runs().costs())) {
            while (next != shades.end() &&
                   worths.of_finish[f] < shade_worth(*next) * finishes_[f].cost)
                order.push_back({.shade = *next++});
            order.push_back({.shade = std::nullopt, .finish = f});
        }
        while (next != shades.end()) order.push_back({.shade = *next++});
        return order;
    }

    /// What has been bought before each purchase and after the last, ascending.
    static std::vector<WholeChoice> bought_along(const std::vector<Purchase>& order) {
        std::vector<WholeChoice> so_far = {{}};
        for (const Purchase& purchase : order) {
            WholeChoice more = so_far.back();
            std::vector<std::size_t>& list = purchase.shade ? more.built : more.finishes;
            const std::size_t bought = purchase.shade.value_or(purchase.finish);
            list.insert(std::lower_bound(list.begin(), list.end(), bought), bought);
            so_far.push_back(std::move(more));
        }
        return so_far;
    }

    std::map<Built, std::vector<Choice>> by_scene(const std::vector<WholeChoice>& wholes) const {
        std::map<Built, std::vector<Choice>> choices;
        for (const WholeChoice& whole : wholes) choices[whole.built].push_back(whole.finishes);
        return choices;
    }

    /// What each purchase takes off, as far as it is needed to tell which comes first.
    std::vector<double> added_by(const std::vector<Purchase>& order, bool with_shades) {
        const std::vector<WholeChoice> so_far = bought_along(order);
        std::vector<double> burdens;
        if (with_shades) {
            for (const auto& [built, choices] : by_scene(so_far))
                scenes_.with(built).surfaces->runs().run(choices);
            for (const WholeChoice& whole : so_far) burdens.push_back(scenes_.burden(whole));
        } else {
            PlanRuns& quick = bare().quick_runs();
            quick.run(by_scene(so_far).at({}));
            for (const WholeChoice& whole : so_far) burdens.push_back(quick.burden(whole.finishes));
        }
        std::vector<double> added;
        for (std::size_t i = 0; i < order.size(); ++i) added.push_back(burdens[i] - burdens[i + 1]);
        return added;
    }

    /// What is saved while the money is spent, in sum: early savings count for long.
    double saved_on_the_way(const std::vector<Purchase>& order, const std::vector<double>& added) {
        const std::vector<WholeChoice> so_far = bought_along(order);
        double sum = 0, saved = 0;
        for (std::size_t i = 0; i < order.size(); ++i) {
            sum += saved * (scenes_.cost(so_far[i + 1]) - scenes_.cost(so_far[i]));
            saved += added[i];
        }
        return sum;
    }

    /// First by single savings, then by what each purchase truly adds to those before it, as long
    /// as more is saved on the way.
    std::vector<Purchase> order_of_purchases(const WholeChoice& whole) {
        Worths worths{surfaces_of(whole).worths(), {}};
        for (const std::size_t t : whole.built) worths.of_shade[t] = scenes_.trials()[t].alone;
        std::vector<Purchase> best = in_order(whole, worths);
        constexpr int most_turns = 4;
        double most = -std::numeric_limits<double>::infinity();
        std::vector<Purchase> order = best;
        for (int turn = 0; turn < most_turns; ++turn) {
            const std::vector<double> added = added_by(order, !whole.built.empty());
            const double saved = saved_on_the_way(order, added);
            if (saved <= most) break;
            most = saved;
            best = order;
            for (std::size_t i = 0; i < order.size(); ++i) {
                if (order[i].shade)
                    worths.of_shade[*order[i].shade] = added[i];
                else
                    worths.of_finish[order[i].finish] = added[i];
            }
            order = in_order(whole, worths);
        }
        return best;
    }

    /// In the order of work; each step's figures by a whole re-run.
    std::vector<PlanStep> steps_of(const WholeChoice& whole) {
        const std::vector<Purchase> order = order_of_purchases(whole);
        const std::vector<WholeChoice> so_far = bought_along(order);
        for (const auto& [built, choices] : by_scene(so_far))
            scenes_.with(built).surfaces->runs().run(choices);
        find_loads(so_far);
        std::vector<PlanStep> steps;
        for (std::size_t i = 0; i < order.size(); ++i)
            steps.push_back(step_of(order[i], so_far[i], so_far[i + 1]));
        return steps;
    }

    /// Of plans that were run: what rooms ask of their plants.
    void find_loads(const std::vector<WholeChoice>& wholes) {
        for (const auto& [built, choices] : by_scene(wholes))
            scenes_.with(built).surfaces->runs().find_loads(choices);
    }

    PlanStep step_of(const Purchase& purchase, const WholeChoice& before, const WholeChoice& now) {
        const auto saved = [&](PlanGoal goal) {
            const PlanPrices& prices = bare().runs().prices();
            return sum_of(burdens_of(goal, scenes_.plan_run(before), prices)) -
                   sum_of(burdens_of(goal, scenes_.plan_run(now), prices));
        };
        const double calls = scenes_.call_out_cost(now) - scenes_.call_out_cost(before);
        double own_cost = 0, own_upkeep = 0, alone = 0;
        if (purchase.shade) {
            const ShadeTrial& trial = scenes_.trials()[*purchase.shade];
            own_cost = trial.cost;
            own_upkeep = trial.upkeep_per_year;
            alone = trial.alone;
        } else {
            own_cost = finishes_[purchase.finish].cost;
            own_upkeep = finishes_[purchase.finish].upkeep_per_year;
            alone = bare().alone(purchase.finish) - bare().counted(purchase.finish);
        }
        return {.finish = purchase.finish,
                .shade = purchase.shade,
                .saves = scenes_.burden(before) - scenes_.burden(now),
                .saves_cooling_j = saved(PlanGoal::cooling_energy),
                .saves_peak_w = saved(PlanGoal::peak_load),
                .saves_running =
                    saved(PlanGoal::running_cost) - upkeep_over(own_upkeep, question_.inputs),
                .alone = alone,
                .call_out_cost = calls,
                .cost = own_cost + calls,
                .cost_so_far = scenes_.cost(now)};
    }

    double least_gain() { return share_that_counts * std::abs(scenes_.burden({})); }

    /// The plan without one of its purchases that saves nothing beside the others; none where each
    /// saves something.
    std::optional<WholeChoice> without_idle(const WholeChoice& whole,
                                            const std::vector<PlanStep>& steps) {
        for (const PlanStep& step : steps) {
            if (step.saves > least_gain()) continue;
            WholeChoice less = whole;
            if (step.shade)
                std::erase(less.built, *step.shade);
            else
                std::erase(less.finishes, step.finish);
            scenes_.with(less.built).surfaces->runs().run({less.finishes});
            find_loads({less});
            if (scenes_.judged(less) <= scenes_.judged(whole) + least_gain()) return less;
        }
        return std::nullopt;
    }

    PlanConfidence confidence(const WholeChoice& best, const std::vector<PlanStep>& steps) {
        SurfacePlanner& surfaces = surfaces_of(best);
        surfaces.scale_to(best.finishes);
        ConfidenceQuestion question{.inputs = surfaces.trial_inputs(),
                                    .base = surfaces.question().base,
                                    .treatments = question_.treatments,
                                    .finishes = finishes_,
                                    .costs = surfaces.runs().costs(),
                                    .alone = {},
                                    .plan = best.finishes,
                                    .budget = options_.budget - scenes_.cost_of(best.built),
                                    .goal = options_.goal,
                                    .prices = surfaces.runs().prices(),
                                    .limits = surfaces.sampled_limits(best.finishes),
                                    .daily_limit_c = options_.daily_limit_c,
                                    .spread = options_.spread,
                                    .samples = options_.samples,
                                    .heat = options_.heat,
                                    .threads = options_.threads,
                                    .stop = options_.stop};
        for (std::size_t f = 0; f < finishes_.size(); ++f) {
            question.alone.push_back(surfaces.alone(f));
            question.scale.push_back(surfaces.scale_of(f));
            question.counted.push_back(surfaces.counted(f));
        }
        PlanConfidence found = confidence_of(question);
        if (found.samples == 0) return found;
        std::vector<double> in_order;
        for (const PlanStep& step : steps) {
            if (step.shade) {
                in_order.push_back(std::numeric_limits<double>::quiet_NaN());
                continue;
            }
            const auto at = std::ranges::lower_bound(best.finishes, step.finish);
            in_order.push_back(found.stays[static_cast<std::size_t>(at - best.finishes.begin())]);
        }
        found.stays = std::move(in_order);
        return found;
    }

    /// Plans that were run, by what their parts save alone, the most first.
    std::vector<SurfacePlanner::Helped> helped() const {
        std::vector<SurfacePlanner::Helped> all;
        const double most_cost = size_that_counts * options_.budget;
        for (const auto& [built, scene] : scenes_.all()) {
            const double left = most_cost - scenes_.cost_of(built);
            const auto in_long_steps = scene.surfaces->helped_in_long_steps(left);
            all.insert(all.end(), in_long_steps.begin(), in_long_steps.end());
            for (const auto& [finishes, response] : scene.surfaces->runs().all()) {
                const WholeChoice whole{built, finishes};
                const double parts = search_.alone_together(whole);
                if (parts <= 0 || scenes_.cost(whole) > most_cost) continue;
                all.push_back({parts, saving(whole) / parts - 1});
            }
        }
        std::ranges::sort(all, [](const auto& a, const auto& b) { return a.parts > b.parts; });
        return all;
    }

    /// The most that a plan can save whose parts save no more than `most_alone`, if none helps
    /// itself more than those that were run and whose parts save as much.
    double most_saving(double most_alone) const {
        constexpr double as_much = 0.95;
        double most = most_alone, help = 0;
        const std::vector<SurfacePlanner::Helped> all = helped();
        for (const auto& [parts, share] : all) {
            if (parts < as_much * most_alone) break;
            help = std::max(help, share);
        }
        most *= 1 + help;
        help = 0;
        for (const auto& [parts, share] : all) {
            help = std::max(help, share);
            most = std::max(most, std::min(parts, most_alone) * (1 + help));
        }
        return most;
    }

    /// Of finishes on the surfaces of a scene.
    double burden_with_light_anew(const PlanScene& scene, const Choice& finishes) const {
        const SurfaceQuestion& question = scene.surfaces->question();
        PlanRuns anew({question.inputs, question.base, question.treatments, finishes_,
                       *scene.relight, options_, "light anew"});
        anew.run({finishes});
        return anew.burden(finishes);
    }

    void fill(Plan& plan, const WholeChoice& best) {
        plan.goal = options_.goal;
        plan.budget = options_.budget;
        plan.cost = scenes_.cost(best);
        plan.calls = scenes_.call_outs(best);
        plan.call_out_cost = scenes_.call_out_cost(best);
        plan.upkeep_per_year = scenes_.upkeep_per_year(best);
        plan.upkeep_over_period = upkeep_over(plan.upkeep_per_year, question_.inputs);
        const PlanScene& bought = scenes_.with(best.built);
        const double counted = scenes_.counted(best.built);
        for_each_task(options_.threads, 2, [&](std::size_t i) {  // the light takes one thread
            if (i == 0)
                plan.steps = steps_of(best);
            else
                plan.burden_checked = burden_with_light_anew(bought, best.finishes) + counted;
        });
        plan.burden_before = scenes_.burden({});
        plan.burden_after = scenes_.burden(best);
        const double most_alone = search_.most_alone(options_.budget);
        plan.most_saving = std::max(most_saving(most_alone), plan.saving());
        plan.helping_share = most_alone > 0 ? plan.most_saving / most_alone - 1 : 0;
        for (const auto& [built, scene] : scenes_.all())
            plan.plans_run += scene.surfaces->runs().n_runs();
        plan.before = scenes_.response({});
        plan.after = scenes_.response(best);
        plan.cooling_before_w = bare().base_cooling_w();
        plan.too_hot_before = scenes_.plan_run({}).too_hot;
        plan.too_hot_after = scenes_.plan_run(best).too_hot;
        plan.alone.clear();
        for (std::size_t f = 0; f < finishes_.size(); ++f)
            plan.alone.push_back(bare().alone(f) - bare().counted(f));
        plan.finishes = finishes_;
        plan.shade_trials = scenes_.trials();
        plan.shades = best.built;
    }

    const PlanOptions& options_;
    const std::vector<Finish> finishes_;
    const SurfaceQuestion question_;
    PlanScenes scenes_;
    ShadeSearch search_;
};

void check(const PlanOptions& options) {
    const auto require = [](bool holds, const char* what, double seen) {
        if (!holds) throw InputError({.entity = what}, "0 or more", std::to_string(seen));
    };
    require(std::isfinite(options.budget) && options.budget >= 0, "budget", options.budget);
    require(
        std::isfinite(options.electricity_price_per_kwh) && options.electricity_price_per_kwh >= 0,
        "electricity price", options.electricity_price_per_kwh);
    require(std::isfinite(options.discounting.rate) && options.discounting.rate >= 0,
            "discount rate", options.discounting.rate);
    require(
        std::isfinite(options.discounting.horizon_years) && options.discounting.horizon_years >= 0,
        "horizon in years", options.discounting.horizon_years);
    for (const PlannedShade& shade : options.shades) validate(shade);
    for (const auto& [what, limit] :
         {std::pair("limit of the plant", options.limits.plant_w),
          std::pair("limit of cooling", options.limits.cooling_j_m2),
          std::pair("limit of time too hot", options.limits.hours_too_hot_h)}) {
        if (limit) require(std::isfinite(*limit) && *limit >= 0, what, *limit);
    }
    const bool looks_free = wants_free_runs(options.goal) || options.limits.hours_too_hot_h;
    NOONSHELL_CHECK_EQ(looks_free && options.daily_limit_c.empty(), false);
    NOONSHELL_CHECK_EQ(options.shades.empty() || options.yard != nullptr, true);
}

}  // namespace

Plan make_plan(const HeatInputs& inputs, const Building& base,
               std::span<const Treatment> treatments, const Relight& relight,
               const PlanOptions& options) {
    check(options);
    for (const Treatment& treatment : treatments) validate(treatment);
    validate_together(treatments);
    require_suitable_glass(treatments, inputs.envelope, base);
    return Planner(inputs, base, treatments, relight, options).make();
}

}  // namespace noonshell
