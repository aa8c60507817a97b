#include "thermal/shade_search.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

#include "thermal/budget_choice.hpp"

namespace noonshell {

namespace {

constexpr int most_scenery_turns = 4, most_shade_rounds = 2;
constexpr std::size_t most_neighbours = 3;  // planned in each round
constexpr int size_trials = 4;              // of each open length
// A surface whose light changes by less than this saves what it saved.
constexpr double change_of_light_that_counts = 0.01;
constexpr double least_shade_scale = 0.1, largest_shade_scale = 2.0;
constexpr double millimetres = 1000;  // of a metre: lengths are told apart by them

/// The same shades, one of them as another trial.
Built exchanged(Built built, std::size_t out, std::size_t in) {
    std::replace(built.begin(), built.end(), out, in);
    std::sort(built.begin(), built.end());
    return built;
}

Built without(Built built, std::size_t out) {
    std::erase(built, out);
    return built;
}

}  // namespace

struct ShadeSearch::Words {
    std::vector<BudgetOption> options;  // finishes, then trials
    std::vector<BudgetCharge> charges;
    std::vector<BudgetPair> pairs;
};

double ShadeSearch::lost(std::size_t finish, std::size_t trial) const {
    const double alone = scenes_.bare().surfaces->alone(finish);
    if (planned_.contains({trial})) {
        const SurfacePlanner& under = *scenes_.all().at({trial}).surfaces;
        return std::max(0.0, alone - under.alone(finish));
    }
    const double left =
        scenes_.trials()[trial].light_left[question_.finishes[finish].surface.index()];
    return left < 1 - change_of_light_that_counts ? std::max(0.0, alone * (1 - left)) : 0;
}

ShadeSearch::Words ShadeSearch::words(bool scaled) const {
    const SurfacePlanner& bare = *scenes_.bare().surfaces;
    const PurchaseCosts& costs = bare.runs().costs();
    Words words{costs.options(), bare.charges(), {}};
    const std::size_t n_finishes = words.options.size();
    for (std::size_t f = 0; f < n_finishes; ++f)
        words.options[f].worth = scaled ? bare.worth(f) : bare.alone(f) - bare.counted(f);
    std::vector<CallOut> calls = costs.call_outs();
    const std::size_t n_surfaces = question_.inputs.envelope.surfaces.size();
    for (std::size_t t = 0; t < scenes_.trials().size(); ++t) {
        const ShadeTrial& trial = scenes_.trials()[t];
        BudgetOption option{.group = n_surfaces + trial.shade,
                            .cost = trial.cost,
                            .worth = trial.alone * (scaled ? scale_[trial.shade] : 1.0)};
        for (const CallOut& call : scenes_.calls_of(t)) {
            const auto known = std::ranges::find_if(calls, [&call](const CallOut& other) {
                return other.unit == call.unit && other.kind == call.kind;
            });
            option.charges.push_back(static_cast<std::size_t>(known - calls.begin()));
            if (known != calls.end()) continue;
            calls.push_back(call);
            words.charges.push_back({call.cost, counted_once(question_.options.goal, call.cost)});
        }
        words.options.push_back(std::move(option));
        for (std::size_t f = 0; f < n_finishes; ++f) {
            const double loss = lost(f, t) * (scaled ? bare.scale_of(f) : 1.0);
            if (loss > 0) words.pairs.push_back({f, n_finishes + t, loss});
        }
    }
    return words;
}

std::vector<BudgetDemand> ShadeSearch::demands() const {
    const PlanRuns& runs = scenes_.bare().surfaces->runs();
    std::vector<BudgetDemand> demands = scenes_.bare().surfaces->demands();
    std::size_t next = 0;
    for (std::size_t l = 0; l < runs.limited().size(); ++l) {
        const LimitedUnit& limited = runs.limited()[l];
        if (figure_of(limited, runs.run_of({}), question_.inputs.envelope) <= limited.limit)
            continue;
        for (std::size_t t = 0; t < scenes_.trials().size(); ++t)
            demands[next].gains.emplace_back(question_.finishes.size() + t,
                                             scenes_.taken_off(t)[l]);
        ++next;
    }
    return demands;
}

WholeChoice ShadeSearch::choose(double budget) const {
    const Words words = this->words(true);
    const std::size_t n_finishes = question_.finishes.size();
    WholeChoice whole;
    for (const std::size_t i :
         choose_within(words.options, budget, words.charges, 0, words.pairs, demands()).taken) {
        if (i < n_finishes)
            whole.finishes.push_back(i);
        else
            whole.built.push_back(i - n_finishes);
    }
    return whole;
}

double ShadeSearch::most_alone(double budget) const {
    const Words words = this->words(false);
    return choose_within(words.options, budget, words.charges, 0, words.pairs).most_worth;
}

double ShadeSearch::alone_together(const WholeChoice& whole) const {
    const SurfacePlanner& bare = *scenes_.bare().surfaces;
    double sum = bare.alone_together(whole.finishes) +
                 bare.runs().counted_call_outs(whole.finishes) - scenes_.counted_call_outs(whole);
    for (const std::size_t t : whole.built) {
        sum += scenes_.trials()[t].alone;
        for (const std::size_t f : whole.finishes) sum -= lost(f, t);
    }
    return sum;
}

double ShadeSearch::promised(const Built& built, double budget) const {
    const double left = budget - scenes_.cost_of(built);
    if (left < 0) return -1;
    const SurfacePlanner& bare = *scenes_.bare().surfaces;
    std::vector<BudgetOption> options = bare.runs().costs().options();
    double sum = 0;
    for (const std::size_t t : built)
        sum += scenes_.trials()[t].alone * scale_[scenes_.trials()[t].shade];
    for (std::size_t f = 0; f < options.size(); ++f) {
        options[f].worth = bare.worth(f);
        for (const std::size_t t : built) options[f].worth -= lost(f, t) * bare.scale_of(f);
    }
    return sum - scenes_.counted_call_outs({built, {}}) +
           choose_within(options, left, bare.charges()).worth;
}

WholeChoice ShadeSearch::plan_on(const Built& built, double budget, double& predicted) {
    PlanScene& scene = scenes_.with(built);
    if (!built.empty()) {
        std::vector<std::uint8_t> again;
        for (const double left : scene.light_left)
            again.push_back(std::abs(left - 1) > change_of_light_that_counts);
        scene.surfaces->find_single_savings(*scenes_.bare().surfaces, again);
    }
    planned_.insert(built);
    WholeChoice whole{built, scene.surfaces->settle(budget - scene.cost, predicted)};
    predicted += scenes_.burden({}) - scenes_.burden({built, {}});
    return whole;
}

void ShadeSearch::learn(const Built& built) {
    double alone = 0;
    for (const std::size_t t : built) alone += scenes_.trials()[t].alone;
    if (alone <= 0) return;
    const double together =
        scenes_.burden({}) - scenes_.burden({built, {}}) + scenes_.counted_call_outs({built, {}});
    for (const std::size_t t : built)
        scale_[scenes_.trials()[t].shade] =
            std::clamp(together / alone, least_shade_scale, largest_shade_scale);
}

bool ShadeSearch::take_if_better(const Built& built, double budget, WholeChoice& best,
                                 double& predicted) {
    double promise = 0;
    const WholeChoice whole = plan_on(built, budget, promise);
    learn(built);
    if (scenes_.judged(whole) >= scenes_.judged(best)) return false;
    best = whole;
    predicted = promise;
    return true;
}

void ShadeSearch::try_first_sizes(double budget) {
    for (std::size_t shade = 0; shade < question_.options.shades.size(); ++shade) {
        const PlannedShade& planned = question_.options.shades[shade];
        std::set<double> heights_m;
        for (const ShadeSize& size : first_sizes(planned)) {
            scenes_.trial_of(shade, size, false);
            heights_m.insert(size.height_m);
        }
        if (!planned.reach_m.is_open()) continue;
        for (const double height_m : heights_m) {
            // In millimetres; what reaches farther costs more.
            auto low = std::lround(millimetres * planned.reach_m.low_m);
            auto high = std::lround(millimetres * planned.reach_m.high_m);
            const auto pays = [&](long reach_mm) {
                const double reach_m = static_cast<double>(reach_mm) / millimetres;
                return scenes_.price_of(shade, {reach_m, height_m}) <= budget;
            };
            if (!pays(low) || pays(high)) continue;
            while (high - low > 1) {
                const auto middle = (low + high) / 2;
                (pays(middle) ? low : high) = middle;
            }
            scenes_.trial_of(shade, {static_cast<double>(low) / millimetres, height_m}, false);
        }
    }
}

void ShadeSearch::take_turns(double budget, WholeChoice& best, double& predicted) {
    for (int turn = 0; turn < most_scenery_turns; ++turn) {
        const Built built = choose(budget).built;
        if (planned_.contains(built)) return;
        take_if_better(built, budget, best, predicted);
    }
}

std::vector<Built> ShadeSearch::neighbours(const Built& built) const {
    const std::vector<ShadeTrial>& trials = scenes_.trials();
    std::vector<Built> found;
    for (const std::size_t t : built) found.push_back(without(built, t));
    for (std::size_t t = 0; t < trials.size(); ++t) {
        const auto same_shade = std::ranges::find_if(
            built, [&](std::size_t other) { return trials[other].shade == trials[t].shade; });
        if (same_shade == built.end()) {
            Built more = built;
            more.insert(std::ranges::lower_bound(more, t), t);
            found.push_back(std::move(more));
        } else if (*same_shade != t) {
            found.push_back(exchanged(built, *same_shade, t));
        }
    }
    return found;
}

void ShadeSearch::step_aside(double budget, WholeChoice& best, double& predicted) {
    for (int round = 0; round < most_shade_rounds; ++round) {
        std::vector<std::pair<double, Built>> promising;
        for (Built& built : neighbours(best.built)) {
            if (planned_.contains(built)) continue;
            const double promise = promised(built, budget);
            if (promise > 0) promising.emplace_back(-promise, std::move(built));
        }
        std::sort(promising.begin(), promising.end());
        if (promising.size() > most_neighbours) promising.resize(most_neighbours);
        bool better = false;
        for (const auto& [promise, built] : promising)
            better = take_if_better(built, budget, best, predicted) || better;
        if (!better) return;
    }
}

double ShadeSearch::quick_burden(const Built& built, double budget, const SurfacePlanner& like) {
    PlanScene& scene = scenes_.with(built);
    std::vector<BudgetOption> options = scene.surfaces->runs().costs().options();
    for (std::size_t f = 0; f < options.size(); ++f) options[f].worth = like.worth(f);
    const WholeChoice whole{
        built, choose_within(options, budget - scene.cost, scene.surfaces->charges()).taken};
    scenes_.run(whole);
    return scenes_.judged(whole);
}

void ShadeSearch::refine(double budget, WholeChoice& best, double& predicted) {
    const auto search = [&](std::size_t t, double ShadeSize::*length, const LengthRange& range) {
        const ShadeTrial start = scenes_.trials()[t];
        const double whole = range.high_m - range.low_m;
        const double step =
            whole / static_cast<double>(question_.options.shades[start.shade].sizes - 1);
        double low = std::max(range.low_m, start.size.*length - step);
        double high = std::min(range.high_m, start.size.*length + step);
        const Built standing = best.built;
        const SurfacePlanner& like = *scenes_.all().at(standing).surfaces;
        std::map<double, double> burden_at = {{start.size.*length, scenes_.judged(best)}};
        std::size_t least_trial = t;
        double least = scenes_.judged(best);
        const auto burden = [&](double at) {
            const double rounded = std::round(at * millimetres) / millimetres;
            const auto known = burden_at.find(rounded);
            if (known != burden_at.end()) return known->second;
            ShadeSize size = start.size;
            size.*length = rounded;
            const std::size_t tried = scenes_.trial_of(start.shade, size, standing.size() == 1);
            const Built built = exchanged(standing, t, tried);
            double found = std::numeric_limits<double>::infinity();
            if (scenes_.cost_of(built) <= budget) found = quick_burden(built, budget, like);
            if (!planned_.contains(built)) scenes_.forget(built);
            if (found < least) {
                least = found;
                least_trial = tried;
            }
            return burden_at[rounded] = found;
        };
        constexpr double golden = 1 / std::numbers::phi;
        for (int trial = 0; trial < size_trials; trial += 1) {
            const double a = high - golden * (high - low), b = low + golden * (high - low);
            if (burden(a) <= burden(b))
                high = b;
            else
                low = a;
        }
        if (least_trial != t)
            take_if_better(exchanged(standing, t, least_trial), budget, best, predicted);
    };
    for (std::size_t shade = 0; shade < question_.options.shades.size(); ++shade) {
        const PlannedShade& planned = question_.options.shades[shade];
        const auto standing = [&] {
            return std::ranges::find_if(
                best.built, [&](std::size_t t) { return scenes_.trials()[t].shade == shade; });
        };
        if (planned.reach_m.is_open() && standing() != best.built.end())
            search(*standing(), &ShadeSize::reach_m, planned.reach_m);
        if (planned.height_m.is_open() && standing() != best.built.end())
            search(*standing(), &ShadeSize::height_m, planned.height_m);
    }
}

WholeChoice ShadeSearch::find(double budget, double& predicted) {
    WholeChoice best = plan_on({}, budget, predicted);
    if (question_.options.shades.empty()) return best;
    try_first_sizes(budget);
    take_turns(budget, best, predicted);
    step_aside(budget, best, predicted);
    refine(budget, best, predicted);
    return best;
}

}  // namespace noonshell
