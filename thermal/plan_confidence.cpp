#include "thermal/plan_confidence.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>

#include "geometry/diagnostics.hpp"
#include "thermal/lattice_points.hpp"

namespace noonshell {

namespace {

// Closer to the best than this the samples' programmes need not come.
constexpr double programme_gap = 1e-4;
constexpr double low_share = 0.05, high_share = 0.95;

/// 1 for the smallest; equal values share the mean of their ranks.
std::vector<double> ranks_of(const std::vector<double>& values) {
    std::vector<std::size_t> order(values.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
    std::vector<double> ranks(values.size());
    for (std::size_t i = 0; i < order.size();) {
        std::size_t end = i;
        while (end < order.size() && values[order[end]] == values[order[i]]) ++end;
        const double mean = 0.5 * static_cast<double>(i + end - 1) + 1;
        for (; i < end; ++i) ranks[order[i]] = mean;
    }
    return ranks;
}

/// 0 where either does not vary.
double correlation_of(const std::vector<double>& a, const std::vector<double>& b) {
    const auto n = static_cast<double>(a.size());
    const double mean_a = std::accumulate(a.begin(), a.end(), 0.0) / n;
    const double mean_b = std::accumulate(b.begin(), b.end(), 0.0) / n;
    double ab = 0, aa = 0, bb = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += (a[i] - mean_a) * (b[i] - mean_b);
        aa += (a[i] - mean_a) * (a[i] - mean_a);
        bb += (b[i] - mean_b) * (b[i] - mean_b);
    }
    return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

/// The value below which a share of them lies; `values` not empty.
double value_at(std::vector<double> values, double share) {
    std::sort(values.begin(), values.end());
    const double at = share * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(at);
    const std::size_t above = std::min(below + 1, values.size() - 1);
    return values[below] + (at - static_cast<double>(below)) * (values[above] - values[below]);
}

/// One sample as the integer programme sees it.
struct SampleOptions {
    std::vector<BudgetOption> options;
    std::vector<BudgetCharge> charges;
    std::vector<BudgetDemand> demands;
    double plan_excess = 0;  // that the plan leaves above limits, as choose_within() weighs it
};

void set_limits(const ConfidenceQuestion& question, const SampledEffects& effects,
                SampleOptions& sample) {
    constexpr double within = 1e-6;  // of the limit: the heat run's own tolerance
    constexpr double least_gain = 1e-6;
    for (std::size_t l = 0; l < question.limits.size(); ++l) {
        const SampledLimit& limit = question.limits[l];
        const std::vector<double>& taken_off = effects.taken_off[l];
        // What the plan was run to leave, moved as its finishes and the bare figure are.
        double planned = limit.planned + effects.bare[l] - limit.bare;
        for (const std::size_t f : question.plan)
            planned -= limit.scale * (taken_off[f] - limit.taken_off[f]);
        BudgetDemand demand;
        demand.wanted = effects.bare[l] - limit.limited.limit;
        const double above = planned - limit.limited.limit;
        if (above > within * std::max(1.0, limit.limited.limit))
            sample.plan_excess += above / std::max(demand.wanted, above);
        if (demand.wanted <= 0) continue;
        for (std::size_t f = 0; f < taken_off.size(); ++f) {
            const double gain = limit.scale * taken_off[f];
            if (std::abs(gain) > least_gain * demand.wanted) demand.gains.emplace_back(f, gain);
        }
        sample.demands.push_back(std::move(demand));
    }
}

/// What a choice leaves of the demands, each as a share of what it wants.
double left_of(const std::vector<BudgetDemand>& demands, const Choice& choice) {
    double sum = 0;
    for (const BudgetDemand& demand : demands) {
        double left = demand.wanted;
        for (const auto& [option, gain] : demand.gains) {
            if (std::ranges::binary_search(choice, option)) left -= gain;
        }
        sum += std::max(0.0, left) / demand.wanted;
    }
    return sum;
}

SampleOptions options_at(const ConfidenceQuestion& question, const SavingModel& model,
                         std::span<const double> at) {
    SampleOptions sample{question.costs.options(), question.costs.charges(), {}, 0};
    std::vector<double> factor(question.treatments.size(), 1.0);
    const std::vector<UncertainInput> inputs = uncertain_inputs(question);
    for (std::size_t k = 0; k < inputs.size(); ++k) {
        const double price = 1 + at[k] * question.spread.price_share;
        if (inputs[k].kind == UncertainKind::price) factor[inputs[k].treatment] = price;
        if (inputs[k].kind != UncertainKind::call_out_price) continue;
        for (BudgetCharge& charge : sample.charges) charge.cost *= price;
    }
    const SampledEffects effects = model.effects(at);
    set_limits(question, effects, sample);
    for (std::size_t f = 0; f < sample.options.size(); ++f) {
        const Finish& finish = question.finishes[f];
        BudgetOption& option = sample.options[f];
        option.worth = effects.savings[f] * question.scale[f] - question.counted[f];
        option.cost = 0;
        const double area_m2 =
            question.inputs.envelope.surfaces[finish.surface.index()].exposed_area_m2;
        for (const std::size_t t : finish.treatments)
            option.cost += factor[t] * cost_of(question.treatments[t], area_m2);
        option.worth -= counted_once(question.goal, option.cost - finish.cost);
    }
    for (BudgetCharge& charge : sample.charges)
        charge.lost = counted_once(question.goal, charge.cost);
    return sample;
}

double worth_together(const Choice& choice, const SampleOptions& sample) {
    return worth_with_pairs(choice, sample.options, sample.charges, {});
}

/// 1 for the surface whose best finish saves most for its cost, #surfaces; 0: nothing fits.
std::vector<double> surface_ranks(const ConfidenceQuestion& question,
                                  const std::vector<BudgetOption>& options) {
    const std::size_t n = question.inputs.envelope.surfaces.size();
    std::vector<double> best(n, -std::numeric_limits<double>::infinity());
    std::vector<std::size_t> order;
    for (const BudgetOption& option : options) {
        if (order.empty() || order.back() != option.group) order.push_back(option.group);
        constexpr double least_cost = 1e-12;
        best[option.group] =
            std::max(best[option.group], option.worth / std::max(option.cost, least_cost));
    }
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return best[a] > best[b]; });
    std::vector<double> ranks(n, 0.0);
    for (std::size_t i = 0; i < order.size(); ++i) ranks[order[i]] = static_cast<double>(i + 1);
    return ranks;
}

class Sampler {
  public:
    explicit Sampler(const ConfidenceQuestion& question)
        : question_(question), model_(question), inputs_(uncertain_inputs(question)) {
        const std::vector<double> middle(inputs_.size(), 0.0);
        const SampleOptions as_planned = options_at(question, model_, middle);
        const BudgetChoice choice =
            choose_within(as_planned.options, question.budget, as_planned.charges, programme_gap,
                          {}, as_planned.demands);
        false_promise_ = std::max(0.0, choice.worth - worth_together(question.plan, as_planned));
        middle_ranks_ = surface_ranks(question, as_planned.options);
    }

    PlanConfidence find() {
        stays_.assign(question_.plan.size(), 0);
        ranks_.assign(middle_ranks_.size(), {});
        drawn_.assign(inputs_.size(), {});
        const std::vector<double> points = lattice_points(question_.samples, inputs_.size());
        for (std::size_t i = 0; i < question_.samples; ++i) {
            if (question_.stop != nullptr && *question_.stop) throw Interrupted();
            std::vector<double> at;
            for (std::size_t k = 0; k < inputs_.size(); ++k) {
                at.push_back(2 * points[i * inputs_.size() + k] - 1);
                drawn_[k].push_back(at.back());
            }
            add_sample(at);
        }
        return told();
    }

  private:
    void add_sample(const std::vector<double>& at) {
        const SampleOptions sample = options_at(question_, model_, at);
        const double own = worth_together(question_.plan, sample);
        saving_.push_back(own);
        BudgetChoice anew = choose_within(sample.options, question_.budget, sample.charges,
                                          programme_gap, {}, sample.demands);
        const bool can_stay =
            cost_together(question_.plan, sample.options, sample.charges) <= question_.budget;
        if (sample.plan_excess <= 0) ++within_limits_;
        constexpr double rounding = 1 + 1e-9, least_excess = 1e-9;
        const bool as_far_within =
            sample.plan_excess <= left_of(sample.demands, anew.taken) + least_excess;
        if (can_stay && as_far_within && anew.worth - own <= false_promise_ * rounding)
            anew.taken = question_.plan;
        double kept = 0, all = 0;
        for (std::size_t i = 0; i < question_.plan.size(); ++i) {
            const std::size_t f = question_.plan[i];
            const bool stays = std::ranges::binary_search(anew.taken, f);
            all += question_.finishes[f].cost;
            if (!stays) continue;
            ++stays_[i];
            kept += question_.finishes[f].cost;
        }
        kept_.push_back(all > 0 ? kept / all : 1);
        const std::vector<double> ranks = surface_ranks(question_, sample.options);
        for (std::size_t s = 0; s < ranks.size(); ++s) ranks_[s].push_back(ranks[s]);
    }

    PlanConfidence told() const {
        PlanConfidence told;
        told.samples = question_.samples;
        for (const std::size_t n : stays_)
            told.stays.push_back(static_cast<double>(n) / static_cast<double>(question_.samples));
        for (std::size_t s = 0; s < ranks_.size(); ++s) {
            if (middle_ranks_[s] <= 0) continue;
            told.ranks.push_back({SurfaceId(s), middle_ranks_[s], value_at(ranks_[s], low_share),
                                  value_at(ranks_[s], high_share)});
        }
        std::ranges::sort(told.ranks, {}, &RankSpread::rank);
        const std::vector<double> saving = ranks_of(saving_), kept = ranks_of(kept_);
        for (std::size_t k = 0; k < inputs_.size(); ++k) {
            const std::vector<double> drawn = ranks_of(drawn_[k]);
            told.inputs.push_back(
                {inputs_[k], correlation_of(drawn, saving), correlation_of(drawn, kept)});
        }
        std::ranges::stable_sort(told.inputs, std::greater<>{}, [](const InputWeight& weight) {
            return std::max(std::abs(weight.on_saving), std::abs(weight.on_plan));
        });
        told.within_limits =
            static_cast<double>(within_limits_) / static_cast<double>(question_.samples);
        told.saving_low = value_at(saving_, low_share);
        told.saving_high = value_at(saving_, high_share);
        return told;
    }

    const ConfidenceQuestion& question_;
    SavingModel model_;
    std::vector<UncertainInput> inputs_;
    double false_promise_ = 0;  // of the programme over the plan, with the inputs as they are
    std::vector<double> middle_ranks_;
    std::vector<std::size_t> stays_;
    std::size_t within_limits_ = 0;
    std::vector<double> saving_, kept_;       // #samples
    std::vector<std::vector<double>> ranks_;  // #surfaces, #samples each
    std::vector<std::vector<double>> drawn_;  // #inputs, #samples each
};

}  // namespace

std::string_view to_string(UncertainKind kind) {
    switch (kind) {
        case UncertainKind::wind:
            return "wind coefficient";
        case UncertainKind::leakage:
            return "air leakage";
        case UncertainKind::sky:
            return "sky longwave";
        case UncertainKind::aged_reflectance:
            return "aged reflectance";
        case UncertainKind::emittance:
            return "emittance";
        case UncertainKind::insulation:
            return "insulation as built";
        case UncertainKind::g_value:
            return "g-value with film";
        case UncertainKind::year_air:
            return "warmth of the year";
        case UncertainKind::year_sun:
            return "sun of the year";
        case UncertainKind::price:
            return "price";
        case UncertainKind::call_out_price:
            return "price of call-outs";
        case UncertainKind::electricity_price:
            return "price of electricity";
    }
    return "unknown";
}

bool UncertainInput::of_treatment() const {
    return kind == UncertainKind::aged_reflectance || kind == UncertainKind::emittance ||
           kind == UncertainKind::insulation || kind == UncertainKind::g_value ||
           kind == UncertainKind::price;
}

PlanConfidence confidence_of(const ConfidenceQuestion& question) {
    if (question.samples == 0 || question.finishes.empty()) return {};
    return Sampler(question).find();
}

}  // namespace noonshell
