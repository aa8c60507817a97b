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

namespace noonshell {

namespace {

constexpr std::size_t most_trial_days = 24;
constexpr double trial_warm_up_days = 3;

/// Those of physics, each with both ends of its range run.
constexpr std::array physical_kinds = {UncertainKind::wind,      UncertainKind::leakage,
                                       UncertainKind::sky,       UncertainKind::aged_reflectance,
                                       UncertainKind::emittance, UncertainKind::insulation,
                                       UncertainKind::g_value};

bool moves_the_base(UncertainKind kind) {
    return kind == UncertainKind::wind || kind == UncertainKind::leakage ||
           kind == UncertainKind::sky;
}

/// Everything at one end of one range.
struct Variation {
    Surroundings surroundings;
    Building base;
    std::vector<Treatment> treatments;
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
    }
}

void move_to(Variation& at, UncertainKind kind, double sign, const InputSpread& spread) {
    constexpr double least_emittance = 0.02;
    switch (kind) {
        case UncertainKind::wind:
            for (auto side :
                 {&Surroundings::forced_windward_w_m2k, &Surroundings::forced_leeward_w_m2k,
                  &Surroundings::forced_unknown_w_m2k})
                scale_all(at.surroundings.*side, 1 + sign * spread.wind_share);
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

/// What the single trials of one end start from.
struct TrialGround {
    Variation at;
    HeatInputs inputs;
    Trace trace;
    std::vector<double> before;  // #units
    std::optional<SurfaceTrials> trials;

    TrialGround(const HeatInputs& of, const ThinnedDays& days, Variation variation)
        : at(std::move(variation)),
          inputs{of.envelope, of.exchange, days.exposure, at.surroundings,
                 days.panes ? &*days.panes : nullptr} {}
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
        middle_ = ground_of(as_it_is());
        at_middle_ = savings(*middle_, nullptr);
    }

    /// What every finish saves more at one end of a range than in its middle, #finishes.
    std::vector<double> differences(UncertainKind kind, double sign) const {
        Variation moved = as_it_is();
        move_to(moved, kind, sign, question_.spread);
        std::vector<double> found;
        if (moves_the_base(kind)) {
            found = savings(*ground_of(std::move(moved)), nullptr);
        } else {
            std::vector<std::uint8_t> wanted;
            for (const Finish& finish : question_.finishes)
                wanted.push_back(owner_of(kind, finish, question_.treatments).has_value() ? 1 : 0);
            found = savings(*middle_, &wanted, moved.treatments);
            for (std::size_t f = 0; f < found.size(); ++f) {
                if (wanted[f] == 0) found[f] = at_middle_[f];
            }
        }
        const bool sums = question_.goal != PlanGoal::peak_load;
        for (std::size_t f = 0; f < found.size(); ++f)
            found[f] = (found[f] - at_middle_[f]) * (sums ? days_.stands_for : 1);
        return found;
    }

  private:
    Variation as_it_is() const {
        return {days_.surroundings,
                question_.base,
                {question_.treatments.begin(), question_.treatments.end()}};
    }

    std::unique_ptr<TrialGround> ground_of(Variation variation) const {
        auto ground = std::make_unique<TrialGround>(question_.inputs, days_, std::move(variation));
        ground->before = burdens_of(
            question_.goal, {simulate(ground->inputs, ground->at.base, heat_, &ground->trace)},
            question_.prices);
        if (middle_) {
            ground->trials.emplace(ground->inputs, ground->at.base, ground->trace,
                                   *middle_->trials);
        } else {
            std::vector<SurfaceId> changed;
            for (const Finish& finish : question_.finishes) {
                if (changed.empty() || changed.back() != finish.surface)
                    changed.push_back(finish.surface);
            }
            ground->trials.emplace(ground->inputs, ground->at.base, ground->trace, changed);
        }
        return ground;
    }

    std::vector<double> savings(const TrialGround& ground, const std::vector<std::uint8_t>* wanted,
                                std::span<const Treatment> treatments = {}) const {
        if (treatments.empty()) treatments = ground.at.treatments;
        std::vector<double> saved(question_.finishes.size(), 0.0);
        for_each_task(question_.threads, saved.size(), [&](std::size_t f) {
            if (wanted != nullptr && (*wanted)[f] == 0) return;
            const Finish& finish = question_.finishes[f];
            const auto [active, after] = ground.trials->run(
                finish.surface,
                finished(ground.at.base.exposed[finish.surface.index()], finish, treatments),
                heat_);
            const std::vector<double> burdens =
                burdens_of(question_.goal, {after}, question_.prices);
            for (std::size_t u = 0; u < burdens.size(); ++u) {
                if (active.units[u] != 0) saved[f] += ground.before[u] - burdens[u];
            }
        });
        return saved;
    }

    const ConfidenceQuestion& question_;
    ThinnedDays days_;
    HeatOptions heat_;
    std::unique_ptr<TrialGround> middle_;
    std::vector<double> at_middle_;
};

}  // namespace

SavingModel::SavingModel(const ConfidenceQuestion& question)
    : question_(question), inputs_(uncertain_inputs(question)) {
    if (question.finishes.empty()) return;
    const EndTrials trials(question);
    for (const UncertainKind kind : physical_kinds) {
        if (width_of(kind, question.spread) <= 0) continue;
        const std::vector<double> low = trials.differences(kind, -1);
        const std::vector<double> high = trials.differences(kind, 1);
        for (std::size_t f = 0; f < low.size(); ++f) {
            const auto owner = moves_the_base(kind)
                                   ? std::optional<std::size_t>(0)
                                   : owner_of(kind, question.finishes[f], question.treatments);
            if (!owner) continue;
            const auto input = std::ranges::find_if(inputs_, [&](const UncertainInput& candidate) {
                return candidate.kind == kind && candidate.treatment == *owner;
            });
            if (input == inputs_.end()) continue;
            bends_.push_back({f, static_cast<std::size_t>(input - inputs_.begin()),
                              (high[f] - low[f]) / 2, (high[f] + low[f]) / 2});
        }
    }
}

std::vector<double> SavingModel::savings(std::span<const double> at) const {
    std::vector<double> savings = question_.alone;
    for (const Bend& bend : bends_) {
        const double z = at[bend.input];
        savings[bend.finish] += z * (bend.slope + z * bend.curve);
    }
    for (std::size_t k = 0; k < inputs_.size(); ++k) {
        if (inputs_[k].kind != UncertainKind::electricity_price) continue;
        for (double& saving : savings) saving *= 1 + at[k] * question_.spread.price_share;
    }
    return savings;
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
         {UncertainKind::wind, UncertainKind::leakage, UncertainKind::sky})
        add(kind);
    if (!question.costs.call_outs().empty()) add(UncertainKind::call_out_price);
    if (question.goal == PlanGoal::running_cost || question.goal == PlanGoal::present_value)
        add(UncertainKind::electricity_price);
    return inputs;
}

}  // namespace noonshell
