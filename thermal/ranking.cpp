#include "thermal/ranking.hpp"

#include <algorithm>
#include <atomic>
#include <limits>
#include <map>
#include <mutex>
#include <numeric>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "solar/parallel.hpp"
#include "solar/reflectance_change.hpp"

namespace noonshell {

namespace {

constexpr double joules_per_kwh = 3.6e6;
// A unit that takes in less than this share of the light that the change turns away (or lets in)
// keeps its base conditions.
constexpr double light_that_counts = 0.005;
// A neighbour in contact over less than this share of the unit's outside keeps them as well: two
// films and a gap pass less than the sheet.
constexpr double contact_that_counts = 0.01;
// A shade that the changed surface sees less of than this keeps its temperature.
constexpr double view_that_counts = 0.02;

struct Trial {
    SurfaceId surface;
    std::size_t treatment;
};

/// Marks neighbours with enough of their outside in contact with `own`.
void mark_contacts(const Envelope& envelope, UnitId own, ActivePart& part) {
    const auto unit_of = [&envelope](SurfaceId s) { return envelope.surfaces[s.index()].unit; };
    std::vector<double> contact_m2(envelope.units.size(), 0.0);
    for (const Contact& c : envelope.contacts) {
        if (c.on_ground() || !unit_of(c.a).valid() || !unit_of(c.b).valid()) continue;
        if (unit_of(c.a) == own) contact_m2[unit_of(c.b).index()] += c.area_m2;
        if (unit_of(c.b) == own) contact_m2[unit_of(c.a).index()] += c.area_m2;
    }
    double outside_m2 = 0;
    for (const SurfaceId s : envelope.units[own.index()].surfaces) {
        outside_m2 += envelope.surfaces[s.index()].area_m2;
    }
    for (std::size_t u = 0; u < contact_m2.size(); ++u) {
        if (contact_m2[u] > contact_that_counts * outside_m2) part.units[u] = 1;
    }
}

/// Marks units that take in enough of the light that the changed surface turns away.
void mark_light(const Envelope& envelope, const Building& building, const ReflectanceChange& change,
                ActivePart& part) {
    const double own_area_m2 = envelope.surfaces[change.surface.index()].area_m2;
    std::vector<double> taken(envelope.units.size(), 0.0);
    for (std::size_t j = 0; j < envelope.surfaces.size(); ++j) {
        const Surface& surface = envelope.surfaces[j];
        if (!surface.unit.valid()) continue;
        taken[surface.unit.index()] += change.coupling[j] * surface.area_m2 *
                                       building.exposed[j].outside_absorptance / own_area_m2;
    }
    for (std::size_t u = 0; u < taken.size(); ++u) {
        if (taken[u] > light_that_counts) part.units[u] = 1;
    }
}

/// Marks shades that the changed surface sees enough of, each with all its surfaces.
void mark_shades(const HeatInputs& inputs, SurfaceId changed, ActivePart& part) {
    const std::vector<Surface>& surfaces = inputs.envelope.surfaces;
    const ExchangeNet& x = inputs.exchange.surfaces;
    for (auto k = x.row_begin[changed.index()]; k < x.row_begin[changed.index() + 1]; ++k) {
        const Surface& seen = surfaces[x.column[k]];
        if (seen.unit.valid() || x.share[k] < view_that_counts) continue;
        for (std::size_t s = 0; s < surfaces.size(); ++s) {
            if (!surfaces[s].unit.valid() && surfaces[s].body == seen.body) part.surfaces[s] = 1;
        }
    }
}

ActivePart touched_part(const HeatInputs& inputs, const Building& building,
                        const ReflectanceChange& change) {
    const Envelope& envelope = inputs.envelope;
    ActivePart part{std::vector<std::uint8_t>(envelope.units.size(), 0),
                    std::vector<std::uint8_t>(envelope.surfaces.size(), 0)};
    const UnitId own = envelope.surfaces[change.surface.index()].unit;
    part.units[own.index()] = 1;
    mark_contacts(envelope, own, part);
    mark_light(envelope, building, change, part);
    mark_shades(inputs, change.surface, part);
    return part;
}

Effect run_trial(const HeatInputs& inputs, const Building& base, const Trial& trial,
                 const Treatment& treatment, const Response& before, const Trace& trace,
                 const std::vector<double>& coupling, const HeatOptions& options) {
    const std::size_t s = trial.surface.index();
    Building changed = base;
    changed.exposed[s] = treated(base.exposed[s], treatment);
    const ReflectanceChange change{
        .surface = trial.surface,
        .change = base.exposed[s].outside_absorptance - changed.exposed[s].outside_absorptance,
        .coupling = coupling};
    const ActivePart active = touched_part(inputs, base, change);
    const Response after = simulate_part(inputs, changed, options, active, trace, change);

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
    effect.saves_peak_w = before.peak_cooling_w[unit].value - after.peak_cooling_w[unit].value;
    effect.lowers_peak_steel_k = before.peak_steel_c[s].value - after.peak_steel_c[s].value;
    return effect;
}

using Couplings = std::map<SurfaceId, std::vector<double>>;

/// What a new reflectance of each surface on trial does to the light on the others.
Couplings couplings_of(const HeatInputs& inputs, const std::vector<Trial>& trials) {
    std::vector<SurfaceId> changed;
    for (const Trial& trial : trials) {
        if (changed.empty() || changed.back() != trial.surface) changed.push_back(trial.surface);
    }
    auto lists = light_couplings(inputs.envelope, inputs.exchange, inputs.exposure, changed);
    Couplings couplings;
    for (std::size_t i = 0; i < changed.size(); ++i) couplings[changed[i]] = std::move(lists[i]);
    return couplings;
}

bool needs_cooling(const Response& base) {
    return std::any_of(base.cooling_j.begin(), base.cooling_j.end(),
                       [](double cooling_j) { return cooling_j > 0; });
}

void put_in_order(Ranking& ranking, std::size_t n_surfaces) {
    std::vector<double> best(n_surfaces, -std::numeric_limits<double>::infinity());
    std::vector<std::uint8_t> tried(n_surfaces, 0);
    for (const Effect& e : ranking.effects) {
        best[e.surface.index()] = std::max(best[e.surface.index()], e.saves_kwh_per_cost());
        tried[e.surface.index()] = 1;
    }
    for (std::size_t s = 0; s < n_surfaces; ++s) {
        if (tried[s]) ranking.order.push_back(SurfaceId(s));
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
    std::vector<Trial> trials;
    for (std::size_t s = 0; s < inputs.envelope.surfaces.size(); ++s) {
        for (std::size_t t = 0; t < treatments.size(); ++t) {
            if (fits(treatments[t], inputs.envelope.surfaces[s])) {
                trials.push_back({SurfaceId(s), t});
            }
        }
    }
    HeatOptions heat = options.heat;
    heat.keep_hours = heat.account = false;
    heat.stop = options.stop;
    heat.progress = nullptr;
    const Couplings couplings = couplings_of(inputs, trials);

    Ranking ranking;
    ranking.effects.resize(trials.size());
    std::atomic<std::size_t> done{0};
    std::mutex telling;
    const auto run_one = [&](std::size_t i) {
        ranking.effects[i] =
            run_trial(inputs, base, trials[i], treatments[trials[i].treatment], base_response,
                      base_trace, couplings.at(trials[i].surface), heat);
        const std::size_t so_far = ++done;
        if (options.progress) {
            const std::lock_guard lock(telling);
            options.progress(static_cast<double>(so_far) / static_cast<double>(trials.size()));
        }
    };
    for_each_task(options.threads, trials.size(), run_one);
    ranking.rank.assign(inputs.envelope.surfaces.size(), 0);
    if (needs_cooling(base_response)) put_in_order(ranking, inputs.envelope.surfaces.size());
    return ranking;
}

}  // namespace noonshell
