#include "thermal/ranking.hpp"

#include <algorithm>
#include <atomic>
#include <limits>
#include <mutex>
#include <numeric>
#include <optional>

#include "geometry/diagnostics.hpp"
#include "solar/parallel.hpp"
#include "thermal/surface_trials.hpp"
#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

constexpr double joules_per_kwh = 3.6e6;
struct Trial {
    SurfaceId surface;
    std::size_t treatment;
};

/// What single trials start from: the building as it is and, where plants have limits, without
/// them.
struct TrialBase {
    const Building& building;
    const Response& before;
    const SurfaceTrials& trials;
    const Response& unlimited_before;
    const SurfaceTrials* unlimited = nullptr;
};

bool any_at_limit(const ActivePart& active, const Response& run) {
    for (std::size_t u = 0; u < active.units.size(); ++u) {
        if (active.units[u] && run.at_limit_h[u] > 0) return true;
    }
    return false;
}

Effect run_trial(const HeatInputs& inputs, const TrialBase& base, const Trial& trial,
                 const Treatment& treatment, const HeatOptions& options) {
    const std::size_t s = trial.surface.index();
    const Response& before = base.before;
    const Construction changed_to = treated(base.building.exposed[s], treatment);
    const auto [active, after] = base.trials.run(trial.surface, changed_to, options);

    const Surface& surface = inputs.envelope.surfaces[s];
    Effect effect{.surface = trial.surface,
                  .treatment = trial.treatment,
                  .cost = cost_of(treatment, surface.exposed_area_m2)};
    for (std::size_t u = 0; u < active.units.size(); ++u) {
        if (!active.units[u]) continue;
        effect.saves_cooling_j += before.cooling_j[u] - after.cooling_j[u];
        effect.adds_heating_j += after.heating_j[u] - before.heating_j[u];
    }
    const std::size_t unit = surface.unit.index();
    const bool clipped =
        base.unlimited != nullptr && (any_at_limit(active, before) || any_at_limit(active, after));
    const double peak_after_w = clipped ? base.unlimited->run(trial.surface, changed_to, options)
                                              .response.peak_cooling_w[unit]
                                              .value
                                        : after.peak_cooling_w[unit].value;
    const Response& peaks_before = clipped ? base.unlimited_before : before;
    effect.saves_peak_w = peaks_before.peak_cooling_w[unit].value - peak_after_w;
    effect.lowers_peak_steel_k = before.peak_steel_c[s].value - after.peak_steel_c[s].value;
    return effect;
}

/// What saves less than a run's iterations leave open saves nothing.
void put_in_order(Ranking& ranking, const Response& base, std::size_t n_surfaces) {
    const double least_j =
        share_that_counts * std::accumulate(base.cooling_j.begin(), base.cooling_j.end(), 0.0);
    std::vector<double> best(n_surfaces, -std::numeric_limits<double>::infinity());
    for (const Effect& e : ranking.effects) {
        if (e.saves_cooling_j > least_j)
            best[e.surface.index()] = std::max(best[e.surface.index()], e.saves_kwh_per_cost());
    }
    for (std::size_t s = 0; s < n_surfaces; ++s) {
        if (best[s] > 0) ranking.order.push_back(SurfaceId(s));
    }
    std::stable_sort(ranking.order.begin(), ranking.order.end(), [&best](SurfaceId a, SurfaceId b) {
        return best[a.index()] > best[b.index()];
    });
    for (std::size_t i = 0; i < ranking.order.size(); ++i) {
        ranking.rank[ranking.order[i].index()] = static_cast<std::uint32_t>(i + 1);
    }
}

}  // namespace

double Effect::saves_kwh_per_cost() const {
    const double kwh = saves_cooling_j / joules_per_kwh;
    // Something for nothing comes first (or, when it harms, last).
    if (cost <= 0) return kwh > 0 ? 1e12 : (kwh < 0 ? -1e12 : 0.0);
    return kwh / cost;
}

Ranking rank_surfaces(const HeatInputs& inputs, const Building& base,
                      const std::vector<Treatment>& treatments, const Response& base_response,
                      const Trace& base_trace, const RankingOptions& options) {
    for (const Treatment& t : treatments) validate(t);
    require_suitable_glass(treatments, inputs.envelope, base);
    std::vector<Trial> trials;
    for (std::size_t s = 0; s < inputs.envelope.surfaces.size(); ++s) {
        for (std::size_t t = 0; t < treatments.size(); ++t) {
            // What needs another cannot be tried alone.
            if (treatments[t].needs.empty() && fits(treatments[t], inputs.envelope.surfaces[s])) {
                trials.push_back({SurfaceId(s), t});
            }
        }
    }
    HeatOptions heat = options.heat;
    heat.keep_hours = heat.account = false;
    heat.stop = options.stop;
    heat.progress = nullptr;
    std::vector<SurfaceId> changed;
    for (const Trial& trial : trials) {
        if (changed.empty() || changed.back() != trial.surface) changed.push_back(trial.surface);
    }
    const SurfaceTrials runs(inputs, base, base_trace, changed);
    std::optional<UnlimitedRun> made;
    if (options.unlimited == nullptr) made = unlimited_run(inputs, base, base_response, heat, true);
    const UnlimitedRun* unlimited = made ? &*made : options.unlimited;
    const Building free_of_limits = without_limits(base);
    std::optional<SurfaceTrials> unlimited_runs;
    if (has_limits(base))
        unlimited_runs.emplace(inputs, free_of_limits,
                               unlimited != nullptr ? unlimited->trace : base_trace, runs);
    const TrialBase trial_base{
        .building = base,
        .before = base_response,
        .trials = runs,
        .unlimited_before = unlimited != nullptr ? unlimited->response : base_response,
        .unlimited = unlimited_runs ? &*unlimited_runs : nullptr};

    Ranking ranking;
    ranking.effects.resize(trials.size());
    std::atomic<std::size_t> done{0};
    std::mutex telling;
    const auto run_one = [&](std::size_t i) {
        ranking.effects[i] =
            run_trial(inputs, trial_base, trials[i], treatments[trials[i].treatment], heat);
        const std::size_t so_far = ++done;
        if (options.progress) {
            const std::lock_guard lock(telling);
            options.progress(static_cast<double>(so_far) / static_cast<double>(trials.size()));
        }
    };
    for_each_task(options.threads, trials.size(), run_one);
    ranking.rank.assign(inputs.envelope.surfaces.size(), 0);
    put_in_order(ranking, base_response, inputs.envelope.surfaces.size());
    return ranking;
}

}  // namespace noonshell
