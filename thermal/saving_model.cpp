// How single savings bend with uncertain inputs.
#include <algorithm>
#include <array>
#include <memory>
#include <optional>
#include <utility>

#include "solar/parallel.hpp"
#include "thermal/plan_confidence.hpp"
#include "thermal/surface_trials.hpp"
#include "thermal/thinned_days.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

namespace {

constexpr std::size_t most_trial_days = 24;
constexpr double trial_warm_up_days = 3;

/// Those of physics, each with both ends of its range run.
constexpr std::array physical_kinds = {UncertainKind::wind,      UncertainKind::leakage,
                                       UncertainKind::sky,       UncertainKind::aged_reflectance,
                                       UncertainKind::emittance, UncertainKind::insulation,
                                       UncertainKind::g_value,   UncertainKind::year_air,
                                       UncertainKind::year_sun};

bool moves_the_base(UncertainKind kind) {
    return kind == UncertainKind::wind || kind == UncertainKind::leakage ||
           kind == UncertainKind::sky || kind == UncertainKind::year_air ||
           kind == UncertainKind::year_sun;
}

/// Everything at one end of one range.
struct Variation {
    Surroundings surroundings;
    Building base;
    std::vector<Treatment> treatments;
    double sunlight = 1;  // over that of the period
};

void scale_all(std::vector<double>& values, double factor) {
    for (double& value : values) value *= factor;
}

void thicken(std::vector<Layer>& layers, double factor) {
    for (Layer& layer : layers) {
        if (layer.resistance_m2k_w)
            *layer.resistance_m2k_w *= factor;
        else
            layer.material.conductivity_w_mk /= factor;
        // What crosses it stays as good a conductor as it is.
        if (layer.beside_bridge) layer.beside_bridge->conductivity_w_mk /= factor;
    }
}

/// Longwave of what is at `base_c`, that much warmer.
void warm(std::vector<double>& longwave_w_m2, const std::vector<double>& base_c, double by_k) {
    constexpr double zero_c_k = 273.15;
    for (std::size_t i = 0; i < longwave_w_m2.size(); ++i)
        longwave_w_m2[i] *= std::pow(1 + by_k / (base_c[i] + zero_c_k), 4);
}

/// A year as much warmer all through; its sky and ground shine as theirs are.
void warm(Surroundings& around, double by_k) {
    warm(around.sky_longwave_w_m2, around.air_c, by_k);
    warm(around.ground_longwave_w_m2, around.ground_c, by_k);
    for (auto values : {&around.air_c, &around.ground_c}) {
        for (double& value : *values) value += by_k;
    }
    around.deep_ground_c += by_k;
}

/// The ground stays as warm as it was.
Exposure under_more_sun(Exposure light, double factor) {
    for (auto part : {&Exposure::direct_w_m2, &Exposure::sky_w_m2, &Exposure::ground_w_m2,
                      &Exposure::bounced_w_m2, &Exposure::part_light_wh_m2})
        scale_all(light.*part, factor);
    return light;
}

void move_to(Variation& at, UncertainKind kind, double sign, const InputSpread& spread) {
    constexpr double least_emittance = 0.02;
    switch (kind) {
        case UncertainKind::wind:
            at.surroundings.forced_scale *= 1 + sign * spread.wind_share;
            break;
        case UncertainKind::leakage:
            for (RoomSettings& room : at.base.rooms) {
                room.leakage.air_change_per_h *= 1 + sign * spread.leakage_share;
                room.leakage.leakage_area_cm2 *= 1 + sign * spread.leakage_share;
            }
            break;
        case UncertainKind::sky:
            scale_all(at.surroundings.sky_longwave_w_m2, 1 + sign * spread.sky_longwave_share);
            break;
        case UncertainKind::aged_reflectance:
            for (Treatment& t : at.treatments)
                t.aged_reflectance =
                    std::clamp(t.aged_reflectance + sign * spread.aged_reflectance, 0.0, 1.0);
            break;
        case UncertainKind::emittance:
            for (Treatment& t : at.treatments)
                t.emittance =
                    std::clamp(t.emittance + sign * spread.emittance, least_emittance, 1.0);
            break;
        case UncertainKind::insulation:
            for (Treatment& t : at.treatments) thicken(t.added, 1 + sign * spread.insulation_share);
            break;
        case UncertainKind::g_value:
            for (Treatment& t : at.treatments) {
                if (t.film)
                    t.film->g_value = std::clamp(t.film->g_value + sign * spread.g_value, 0.0, 1.0);
            }
            break;
        case UncertainKind::year_air:
            warm(at.surroundings, sign * spread.year_air_k);
            break;
        case UncertainKind::year_sun:
            at.sunlight *= 1 + sign * spread.year_sun_share;
            break;
        case UncertainKind::price:
        case UncertainKind::call_out_price:
        case UncertainKind::electricity_price:
            break;  // not of physics
    }
}

double width_of(UncertainKind kind, const InputSpread& spread) {
    switch (kind) {
        case UncertainKind::wind:
            return spread.wind_share;
        case UncertainKind::leakage:
            return spread.leakage_share;
        case UncertainKind::sky:
            return spread.sky_longwave_share;
        case UncertainKind::aged_reflectance:
            return spread.aged_reflectance;
        case UncertainKind::emittance:
            return spread.emittance;
        case UncertainKind::insulation:
            return spread.insulation_share;
        case UncertainKind::g_value:
            return spread.g_value;
        case UncertainKind::year_air:
            return spread.year_air_k;
        case UncertainKind::year_sun:
            return spread.year_sun_share;
        case UncertainKind::price:
        case UncertainKind::call_out_price:
        case UncertainKind::electricity_price:
            return spread.price_share;
    }
    return 0;
}

/// Whose property of this kind a finish shows: its outermost treatment's, that which insulates, or
/// the film.
std::optional<std::size_t> owner_of(UncertainKind kind, const Finish& finish,
                                    std::span<const Treatment> treatments) {
    constexpr std::array outermost_first = {TreatmentKind::coating, TreatmentKind::vented_cladding,
                                            TreatmentKind::outside_insulation};
    if (kind == UncertainKind::g_value) {
        for (const std::size_t t : finish.treatments) {
            if (treatments[t].film) return t;
        }
        return std::nullopt;
    }
    if (kind == UncertainKind::insulation) {
        for (const std::size_t t : finish.treatments) {
            if (!treatments[t].added.empty()) return t;
        }
        return std::nullopt;
    }
    for (const TreatmentKind outer : outermost_first) {
        for (const std::size_t t : finish.treatments) {
            if (treatments[t].kind == outer) return t;
        }
    }
    return std::nullopt;
}

/// One building as it is, and single trials of what changes it.
struct TrialStart {
    Building base;
    Trace trace;
    Response before;
    std::optional<SurfaceTrials> trials;
};

/// What the single trials of one end start from: the building, where it is asked for without
/// cooling, and where loads are asked for without limits of its plants.
struct TrialGround {
    Variation at;
    std::optional<Exposure> other_sun;
    HeatInputs inputs;
    std::unique_ptr<TrialStart> own, free, unlimited;
    PlanRun before;

    TrialGround(const HeatInputs& of, const ThinnedDays& days, Variation variation)
        : at(std::move(variation)),
          other_sun(at.sunlight == 1 ? std::nullopt
                                     : std::optional(under_more_sun(days.exposure, at.sunlight))),
          inputs{of.envelope, of.exchange, other_sun ? *other_sun : days.exposure, at.surroundings,
                 days.panes ? &*days.panes : nullptr} {}
};

/// What finishes do, of which a model takes the differences.
struct Effects {
    std::vector<double> savings;                 // #finishes
    std::vector<double> bare;                    // #limits
    std::vector<std::vector<double>> taken_off;  // #limits of #finishes each
};

/// Single trials of all finishes over few days.
class EndTrials {
  public:
    explicit EndTrials(const ConfidenceQuestion& question)
        : question_(question),
          days_(thinned_days(question.inputs, most_trial_days)),
          heat_(question.heat) {
        heat_.keep_hours = heat_.account = false;
        heat_.stop = question.stop;
        heat_.progress = nullptr;
        heat_.warm_up_days = std::min(heat_.warm_up_days, trial_warm_up_days);
        heat_.most_passes = 1;  // days far apart do not come round
        const auto limited = [&](LimitKind kind) {
            return std::ranges::any_of(question.limits, [kind](const SampledLimit& limit) {
                return limit.limited.kind == kind;
            });
        };
        if (wants_free_runs(question.goal) || limited(LimitKind::too_hot)) {
            for (const std::size_t day : days_.days)
                daily_limit_c_.push_back(question.daily_limit_c[day]);
        }
        unlimited_ = (question.goal == PlanGoal::peak_load || limited(LimitKind::plant)) &&
                     has_limits(question.base);
        middle_ = ground_of(as_it_is());
        at_middle_ = effects(*middle_, nullptr);
    }

    /// What every finish does more at one end of a range than in its middle, over the period.
    Effects differences(UncertainKind kind, double sign) const {
        Variation moved = as_it_is();
        move_to(moved, kind, sign, question_.spread);
        Effects found;
        if (moves_the_base(kind)) {
            found = effects(*ground_of(std::move(moved)), nullptr);
        } else {
            std::vector<std::uint8_t> wanted;
            for (const Finish& finish : question_.finishes)
                wanted.push_back(owner_of(kind, finish, question_.treatments).has_value() ? 1 : 0);
            found = effects(*middle_, &wanted, moved.treatments);
        }
        const bool sums = question_.goal != PlanGoal::peak_load;
        take_off(found.savings, at_middle_.savings, sums);
        for (std::size_t l = 0; l < found.bare.size(); ++l) {
            const bool sum_of_days = question_.limits[l].limited.kind != LimitKind::plant;
            take_off(found.taken_off[l], at_middle_.taken_off[l], sum_of_days);
            found.bare[l] =
                (found.bare[l] - at_middle_.bare[l]) * (sum_of_days ? days_.stands_for : 1);
        }
        return found;
    }

  private:
    void take_off(std::vector<double>& found, const std::vector<double>& middle, bool sums) const {
        for (std::size_t f = 0; f < found.size(); ++f)
            found[f] = (found[f] - middle[f]) * (sums ? days_.stands_for : 1);
    }

    Variation as_it_is() const {
        return {days_.surroundings,
                question_.base,
                {question_.treatments.begin(), question_.treatments.end()},
                1};
    }

    HeatOptions free_heat() const {
        HeatOptions heat = heat_;
        heat.keep_hours = true;
        return heat;
    }

    /// `alike`: trials that start elsewhere, of the same surfaces under the same light.
    std::unique_ptr<TrialStart> start(const HeatInputs& inputs, Building base,
                                      const HeatOptions& heat, const TrialStart* alike) const {
        auto begun = std::make_unique<TrialStart>();
        begun->base = std::move(base);
        begun->before = simulate(inputs, begun->base, heat, &begun->trace);
        if (alike != nullptr) {
            begun->trials.emplace(inputs, begun->base, begun->trace, *alike->trials);
            return begun;
        }
        std::vector<SurfaceId> changed;
        for (const Finish& finish : question_.finishes) {
            if (changed.empty() || changed.back() != finish.surface)
                changed.push_back(finish.surface);
        }
        begun->trials.emplace(inputs, begun->base, begun->trace, changed);
        return begun;
    }

    std::unique_ptr<TrialGround> ground_of(Variation variation) const {
        auto ground = std::make_unique<TrialGround>(question_.inputs, days_, std::move(variation));
        ground->own =
            start(ground->inputs, ground->at.base, heat_, middle_ ? middle_->own.get() : nullptr);
        ground->before.response = ground->own->before;
        if (unlimited_) {
            ground->unlimited =
                start(ground->inputs, without_limits(ground->at.base), heat_, ground->own.get());
            put_loads(ground->unlimited->before, ground->before.response);
        }
        if (!daily_limit_c_.empty()) {
            ground->free = start(ground->inputs, free_running(ground->at.base), free_heat(),
                                 ground->own.get());
            ground->before.too_hot = too_hot_of(ground->free->before, daily_limit_c_);
        }
        return ground;
    }

    SurfaceTrials::Outcome try_finish(const TrialGround& ground, SurfaceId surface,
                                      const Construction& changed_to, PlanRun& after) const {
        SurfaceTrials::Outcome own = ground.own->trials->run(surface, changed_to, heat_);
        after.response = own.response;
        if (ground.unlimited)
            put_loads(ground.unlimited->trials->run(surface, changed_to, heat_).response,
                      after.response);
        if (ground.free)
            after.too_hot =
                too_hot_of(ground.free->trials->run(surface, changed_to, free_heat()).response,
                           daily_limit_c_);
        return own;
    }

    /// Of finishes that are not wanted, those of the middle.
    Effects effects(const TrialGround& ground, const std::vector<std::uint8_t>* wanted,
                    std::span<const Treatment> treatments = {}) const {
        if (treatments.empty()) treatments = ground.at.treatments;
        const Envelope& envelope = question_.inputs.envelope;
        const std::size_t n_finishes = question_.finishes.size(),
                          n_limits = question_.limits.size();
        const std::vector<double> before =
            burdens_of(question_.goal, ground.before, question_.prices);
        Effects found;
        for (const SampledLimit& limit : question_.limits)
            found.bare.push_back(figure_of(limit.limited, ground.before, envelope));
        found.savings.assign(n_finishes, 0.0);
        found.taken_off.assign(n_limits, std::vector<double>(n_finishes, 0.0));
        for_each_task(question_.threads, n_finishes, [&](std::size_t f) {
            if (wanted != nullptr && (*wanted)[f] == 0) {
                found.savings[f] = at_middle_.savings[f];
                for (std::size_t l = 0; l < n_limits; ++l)
                    found.taken_off[l][f] = at_middle_.taken_off[l][f];
                return;
            }
            const Finish& finish = question_.finishes[f];
            PlanRun after;
            const ActivePart active =
                try_finish(
                    ground, finish.surface,
                    finished(ground.at.base.exposed[finish.surface.index()], finish, treatments),
                    after)
                    .active;
            const std::vector<double> burdens = burdens_of(question_.goal, after, question_.prices);
            for (std::size_t u = 0; u < burdens.size(); ++u) {
                if (active.units[u] != 0) found.savings[f] += before[u] - burdens[u];
            }
            for (std::size_t l = 0; l < n_limits; ++l) {
                const LimitedUnit& limited = question_.limits[l].limited;
                if (active.units[limited.unit.index()] == 0) continue;
                found.taken_off[l][f] = found.bare[l] - figure_of(limited, after, envelope);
            }
        });
        return found;
    }

    const ConfidenceQuestion& question_;
    ThinnedDays days_;
    HeatOptions heat_;
    std::vector<double> daily_limit_c_;  // of the days kept; empty where nobody asks
    bool unlimited_ = false;             // whether loads are those of plants without limits
    std::unique_ptr<TrialGround> middle_;
    Effects at_middle_;
};

}  // namespace

SavingModel::SavingModel(const ConfidenceQuestion& question)
    : question_(question), inputs_(uncertain_inputs(question)) {
    if (question.finishes.empty()) return;
    const EndTrials trials(question);
    for (const UncertainKind kind : physical_kinds) {
        if (width_of(kind, question.spread) <= 0) continue;
        const Effects low = trials.differences(kind, -1);
        const Effects high = trials.differences(kind, 1);
        const auto input_of = [&](std::optional<std::size_t> owner) {
            const auto input = std::ranges::find_if(inputs_, [&](const UncertainInput& candidate) {
                return owner && candidate.kind == kind && candidate.treatment == *owner;
            });
            return static_cast<std::size_t>(input - inputs_.begin());
        };
        for (std::size_t f = 0; f < question.finishes.size(); ++f) {
            const std::size_t input = input_of(
                moves_the_base(kind) ? std::optional<std::size_t>(0)
                                     : owner_of(kind, question.finishes[f], question.treatments));
            if (input == inputs_.size()) continue;
            add_bend(no_limit, f, input, low.savings[f], high.savings[f]);
            for (std::size_t l = 0; l < question.limits.size(); ++l)
                add_bend(l, f, input, low.taken_off[l][f], high.taken_off[l][f]);
        }
        if (!moves_the_base(kind)) continue;
        for (std::size_t l = 0; l < question.limits.size(); ++l)
            add_bend(l, no_finish, input_of(0), low.bare[l], high.bare[l]);
    }
}

/// A finish does nothing to most units.
void SavingModel::add_bend(std::size_t limit, std::size_t finish, std::size_t input, double low,
                           double high) {
    if (low == 0 && high == 0) return;
    bends_.push_back({limit, finish, input, (high - low) / 2, (high + low) / 2});
}

SampledEffects SavingModel::effects(std::span<const double> at) const {
    SampledEffects effects{question_.alone, {}, {}};
    for (const SampledLimit& limit : question_.limits) {
        effects.bare.push_back(limit.bare);
        effects.taken_off.push_back(limit.taken_off);
    }
    for (const Bend& bend : bends_) {
        const double z = at[bend.input], moved = z * (bend.slope + z * bend.curve);
        if (bend.limit == no_limit)
            effects.savings[bend.finish] += moved;
        else if (bend.finish == no_finish)
            effects.bare[bend.limit] += moved;
        else
            effects.taken_off[bend.limit][bend.finish] += moved;
    }
    for (std::size_t k = 0; k < inputs_.size(); ++k) {
        if (inputs_[k].kind != UncertainKind::electricity_price) continue;
        for (double& saving : effects.savings) saving *= 1 + at[k] * question_.spread.price_share;
    }
    return effects;
}

std::vector<UncertainInput> uncertain_inputs(const ConfidenceQuestion& question) {
    std::vector<UncertainInput> inputs;
    const auto add = [&](UncertainKind kind, std::size_t treatment = 0) {
        if (width_of(kind, question.spread) > 0) inputs.push_back({kind, treatment});
    };
    for (std::size_t t = 0; t < question.treatments.size(); ++t) {
        const bool offered = std::ranges::any_of(question.finishes, [t](const Finish& finish) {
            return std::ranges::find(finish.treatments, t) != finish.treatments.end();
        });
        if (!offered) continue;
        if (question.treatments[t].film) {
            add(UncertainKind::g_value, t);
        } else {
            add(UncertainKind::aged_reflectance, t);
            add(UncertainKind::emittance, t);
        }
        if (!question.treatments[t].added.empty()) add(UncertainKind::insulation, t);
        add(UncertainKind::price, t);
    }
    for (const UncertainKind kind :
         {UncertainKind::wind, UncertainKind::leakage, UncertainKind::sky, UncertainKind::year_air,
          UncertainKind::year_sun})
        add(kind);
    if (!question.costs.call_outs().empty()) add(UncertainKind::call_out_price);
    if (question.goal == PlanGoal::running_cost || question.goal == PlanGoal::present_value)
        add(UncertainKind::electricity_price);
    return inputs;
}

}  // namespace noonshell
