// Confidence against fresh samples of which every single one is run, not modelled.
#include "thermal/plan_confidence.hpp"
#include "thermal/gap_layers.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "tests/support/row_of_units.hpp"
#include "thermal/planner.hpp"
#include "thermal/surface_trials.hpp"
#include "thermal/thinned_days.hpp"
#include "thermal/unit_figures.hpp"

namespace noonshell {
namespace {

using namespace test_models;

std::vector<Treatment> coat_and_foam() {
    Treatment white;
    white.name = "white coat";
    white.cost_per_m2 = 10;
    white.surfaces = {"*/roof*", "*/wall-s", "left/wall-w"};
    Treatment foam = white;
    foam.name = "foam";
    foam.kind = TreatmentKind::outside_insulation;
    foam.cost_per_m2 = 30;
    foam.aged_reflectance = 0.4;
    foam.added = {{{"foam", 0.03, 30, 1400, "test"}, 0.05, std::nullopt}};
    foam.added[0].bridge = Bridge{{"batten", 0.13, 500, 1600, "test"}, 0.05};
    set_layer_resistances(foam.added, HeatFlow::horizontal);
    return {white, foam};
}

/// What each finish saves alone, every one run.
std::vector<double> savings_of(const Row& row, const Surroundings& around, const Exposure& exposure,
                               const Building& base, const std::vector<Treatment>& treatments,
                               const std::vector<Finish>& finishes) {
    const HeatInputs inputs{row.envelope, row.exchange, exposure, around};
    HeatOptions heat;
    heat.warm_up_days = 3;
    Trace trace;
    const Response before = simulate(inputs, base, heat, &trace);
    std::vector<SurfaceId> changed;
    for (const Finish& finish : finishes) {
        if (changed.empty() || changed.back() != finish.surface) changed.push_back(finish.surface);
    }
    const SurfaceTrials trials(inputs, base, trace, changed);
    std::vector<double> saved;
    for (const Finish& finish : finishes) {
        const auto [active, after] =
            trials.run(finish.surface,
                       finished(base.exposed[finish.surface.index()], finish, treatments), heat);
        double sum = 0;
        for (std::size_t u = 0; u < before.n_units; ++u) {
            if (active.units[u]) sum += before.cooling_j[u] - after.cooling_j[u];
        }
        saved.push_back(sum);
    }
    return saved;
}

struct Case {
    Row row;
    std::vector<Treatment> treatments = coat_and_foam();
    std::vector<Finish> finishes = finishes_of(row.envelope, treatments);
    PurchaseCosts costs{row.envelope, treatments, finishes};
    HeatInputs inputs{row.envelope, row.exchange, row.exposure, row.around_in_long_steps};

    ConfidenceQuestion question(double budget) const {
        ConfidenceQuestion question{.inputs = inputs,
                                    .base = row.building,
                                    .treatments = treatments,
                                    .finishes = finishes,
                                    .costs = costs,
                                    .alone = savings_of(row, row.around_in_long_steps, row.exposure,
                                                        row.building, treatments, finishes),
                                    .budget = budget};
        question.heat.warm_up_days = 3;
        question.scale.assign(finishes.size(), 1.0);
        question.counted.assign(finishes.size(), 0.0);
        auto options = costs.options();
        for (std::size_t f = 0; f < options.size(); ++f) options[f].worth = question.alone[f];
        question.plan = choose_within(options, budget).taken;
        return question;
    }
};

/// Everything as drawn anew.
struct FreshSample {
    Building base;
    Surroundings around;
    Exposure exposure;
    std::vector<Treatment> treatments;
};

FreshSample fresh_sample(const Row& row, const std::vector<Treatment>& treatments,
                         const std::vector<UncertainInput>& inputs, std::mt19937& random) {
    const InputSpread spread;
    std::uniform_real_distribution<double> within(-1, 1);
    FreshSample drawn{row.building, row.around_in_long_steps, row.exposure, treatments};
    for (const UncertainInput& input : inputs) {
        const double z = within(random);
        Treatment& own = drawn.treatments[input.treatment];
        switch (input.kind) {
            case UncertainKind::wind:
                for (auto* side :
                     {&drawn.around.forced_windward_w_m2k, &drawn.around.forced_leeward_w_m2k,
                      &drawn.around.forced_unknown_w_m2k}) {
                    for (double& h : *side) h *= 1 + z * spread.wind_share;
                }
                break;
            case UncertainKind::leakage:
                for (RoomSettings& room : drawn.base.rooms)
                    room.leakage.air_change_per_h *= 1 + z * spread.leakage_share;
                break;
            case UncertainKind::sky:
                for (double& sky : drawn.around.sky_longwave_w_m2)
                    sky *= 1 + z * spread.sky_longwave_share;
                break;
            case UncertainKind::year_air:
                for (std::size_t i = 0; i < drawn.around.n_steps(); ++i) {
                    const auto warmer = [&](double base_c) {
                        return std::pow(1 + z * spread.year_air_k / (base_c + 273.15), 4);
                    };
                    drawn.around.sky_longwave_w_m2[i] *= warmer(drawn.around.air_c[i]);
                    drawn.around.ground_longwave_w_m2[i] *= warmer(drawn.around.ground_c[i]);
                    drawn.around.air_c[i] += z * spread.year_air_k;
                    drawn.around.ground_c[i] += z * spread.year_air_k;
                }
                drawn.around.deep_ground_c += z * spread.year_air_k;
                break;
            case UncertainKind::year_sun:
                for (auto part : {&Exposure::direct_w_m2, &Exposure::sky_w_m2,
                                  &Exposure::ground_w_m2, &Exposure::bounced_w_m2}) {
                    for (double& light : drawn.exposure.*part)
                        light *= 1 + z * spread.year_sun_share;
                }
                break;
            case UncertainKind::aged_reflectance:
                own.aged_reflectance += z * spread.aged_reflectance;
                break;
            case UncertainKind::emittance:
                own.emittance += z * spread.emittance;
                break;
            case UncertainKind::insulation:
                for (Layer& layer : own.added)
                    layer.beside_bridge->conductivity_w_mk /= 1 + z * spread.insulation_share;
                break;
            case UncertainKind::price:
                own.cost_per_m2 *= 1 + z * spread.price_share;
                break;
            default:
                ADD_FAILURE() << to_string(input.kind);
        }
    }
    return drawn;
}

TEST(PlanConfidence, HoldsOnFreshSamplesOfWhichEachIsRun) {
    const Case of;
    ConfidenceQuestion question = of.question(700);
    ASSERT_GT(question.plan.size(), 2u);
    question.samples = 256;
    const PlanConfidence told = confidence_of(question);
    const std::vector<UncertainInput> inputs = uncertain_inputs(question);
    std::mt19937 random(19);
    constexpr int n = 250;
    std::vector<int> stays(question.plan.size(), 0);
    for (int i = 0; i < n; ++i) {
        const FreshSample drawn = fresh_sample(of.row, of.treatments, inputs, random);
        const auto& [base, around, exposure, treatments] = drawn;
        const auto finishes = finishes_of(of.row.envelope, treatments);
        const PurchaseCosts costs(of.row.envelope, treatments, finishes);
        const auto worth = savings_of(of.row, around, exposure, base, treatments, finishes);
        auto options = costs.options();
        for (std::size_t f = 0; f < options.size(); ++f) options[f].worth = worth[f];
        const auto taken = choose_within(options, question.budget).taken;
        for (std::size_t k = 0; k < stays.size(); ++k)
            stays[k] += std::ranges::binary_search(taken, question.plan[k]);
    }
    ASSERT_EQ(told.stays.size(), stays.size());
    for (std::size_t k = 0; k < stays.size(); ++k) {
        const double seen = static_cast<double>(stays[k]) / n;
        // Binomial band of both shares, 3.3 standard deviations: one in a thousand falls out.
        const double p = std::clamp(told.stays[k], 0.01, 0.99);
        const double band = 3.3 * std::sqrt(p * (1 - p) * (1.0 / n + 1.0 / 256)) + 0.02;
        EXPECT_NEAR(seen, told.stays[k], band) << k;
    }
    // Something is in doubt, or the test shows nothing.
    EXPECT_LT(*std::ranges::min_element(told.stays), 0.95);
}

TEST(PlanConfidence, WithoutRangesAllIsSure) {
    const Case of;
    ConfidenceQuestion question = of.question(700);
    question.samples = 16;
    question.spread = {0, 0, 0, 0, 0, 0, 0, 0, 0, 0};
    const PlanConfidence told = confidence_of(question);
    EXPECT_EQ(told.stays, std::vector<double>(question.plan.size(), 1.0));
    for (const RankSpread& rank : told.ranks) {
        EXPECT_EQ(rank.low, rank.rank);
        EXPECT_EQ(rank.high, rank.rank);
    }
    EXPECT_EQ(told.saving_low, told.saving_high);
    EXPECT_TRUE(told.inputs.empty());
}

TEST(PlanConfidence, OneInputAloneMovesTheSavingWithItsRank) {
    const Case of;
    ConfidenceQuestion question = of.question(300);
    question.samples = 64;
    question.spread = {.aged_reflectance = 0.1,
                       .emittance = 0,
                       .wind_share = 0,
                       .leakage_share = 0,
                       .sky_longwave_share = 0,
                       .insulation_share = 0,
                       .price_share = 0,
                       .year_air_k = 0,
                       .year_sun_share = 0};
    const PlanConfidence told = confidence_of(question);
    // Only coats are bought: the more they reflect, the more they save, and foam's own reflectance
    // does nothing.
    for (const std::size_t f : question.plan)
        ASSERT_EQ(of.finishes[f].treatments, std::vector<std::size_t>{0});
    ASSERT_EQ(told.inputs.size(), 2u);
    EXPECT_EQ(told.inputs[0].input.treatment, 0u);
    EXPECT_NEAR(told.inputs[0].on_saving, 1, 1e-12);
    EXPECT_LT(std::abs(told.inputs[1].on_saving), 0.2);
}

TEST(PlanConfidence, IsTheSameForAnyNumberOfThreads) {
    const Case of;
    ConfidenceQuestion question = of.question(700);
    question.samples = 32;
    question.threads = 1;
    const PlanConfidence one = confidence_of(question);
    question.threads = 2;
    const PlanConfidence two = confidence_of(question);
    EXPECT_EQ(one.stays, two.stays);
    EXPECT_EQ(one.saving_low, two.saving_low);
    for (std::size_t k = 0; k < one.inputs.size(); ++k)
        EXPECT_EQ(one.inputs[k].on_saving, two.inputs[k].on_saving);
}

TEST(PlanConfidence, APlanTellsItForEveryStep) {
    const Row row;
    PlanOptions options;
    options.budget = 700;
    options.frontier_points = 4;
    options.samples = 16;
    options.trial_surroundings = &row.around_in_long_steps;
    options.spread = {0, 0, 0, 0, 0, 0, 0, 0, 0, 0};
    const auto relight = [&](std::span<const double>) { return row.exposure; };
    const Plan sure = make_plan(row.inputs(), row.building, coat_and_foam(), relight, options);
    EXPECT_EQ(sure.confidence.stays, std::vector<double>(sure.steps.size(), 1.0));
    options.spread = {};
    const Plan plan = make_plan(row.inputs(), row.building, coat_and_foam(), relight, options);
    ASSERT_EQ(plan.confidence.stays.size(), plan.steps.size());
    EXPECT_LT(plan.confidence.saving_low, plan.confidence.saving_high);
}

PlanOptions options_for(const Row& row) {
    PlanOptions options;
    options.budget = 600;
    options.frontier_points = 4;
    options.samples = 256;
    options.trial_surroundings = &row.around_in_long_steps;
    options.daily_limit_c = adaptive_limits_c(weather_of_row(), AdaptiveModel::en_16798_category_2);
    return options;
}

Plan plan_of(const Row& row, const PlanOptions& options) {
    return make_plan(
        row.inputs(), row.building, coat_and_foam(),
        [&](std::span<const double>) { return row.exposure; }, options);
}

/// The inputs that plans of coats and foam draw, as a plan's own confidence lists them.
std::vector<UncertainInput> inputs_of(const Plan& plan) {
    std::vector<UncertainInput> inputs;
    for (const InputWeight& weight : plan.confidence.inputs) inputs.push_back(weight.input);
    return inputs;
}

Building with_plan(const Plan& plan, const FreshSample& drawn) {
    Building building = drawn.base;
    for (const PlanStep& step : plan.steps) {
        const Finish& finish = plan.finishes[step.finish];
        Construction& own = building.exposed[finish.surface.index()];
        own = finished(own, finish, drawn.treatments);
    }
    return building;
}

TEST(PlanConfidence, UnderALimitHoldsOnFreshRunsOfThePlan) {
    const Row row(1800);
    PlanOptions options = options_for(row);
    const Plan free = plan_of(row, options);
    double most_j_m2 = 0;
    for (std::size_t u = 0; u < free.after.n_units; ++u)
        most_j_m2 =
            std::max(most_j_m2, free.after.cooling_j[u] / row.envelope.units[u].floor_area_m2);
    options.limits.cooling_j_m2 = 1.01 * most_j_m2;
    const Plan plan = plan_of(row, options);
    ASSERT_EQ(plan.confidence.stays.size(), plan.steps.size());
    EXPECT_EQ(free.confidence.within_limits, 1);
    std::mt19937 random(23);
    constexpr int n = 200;
    int within = 0;
    for (int i = 0; i < n; ++i) {
        const FreshSample drawn = fresh_sample(row, coat_and_foam(), inputs_of(plan), random);
        const HeatInputs inputs{row.envelope, row.exchange, drawn.exposure, drawn.around};
        const Response after = simulate(inputs, with_plan(plan, drawn), {});
        bool all = true;
        for (std::size_t u = 0; u < after.n_units; ++u)
            all = all && after.cooling_j[u] <=
                             *options.limits.cooling_j_m2 * row.envelope.units[u].floor_area_m2;
        within += all ? 1 : 0;
    }
    const double seen = static_cast<double>(within) / n, p = plan.confidence.within_limits;
    EXPECT_NEAR(seen, p, 3.3 * std::sqrt(p * (1 - p) * (1.0 / n + 1.0 / 256)) + 0.03);
    // Something is in doubt, or the test shows nothing.
    EXPECT_GT(seen, 0.2);
    EXPECT_LT(seen, 0.9);
}

TEST(PlanConfidence, OfTimeTooHotHoldsOnFreshRunsOfThePlan) {
    const Row row(1800);
    PlanOptions options = options_for(row);
    options.goal = PlanGoal::too_hot;
    const Plan plan = plan_of(row, options);
    ASSERT_EQ(plan.confidence.stays.size(), plan.steps.size());
    ASSERT_GT(plan.saving(), 0);
    std::mt19937 random(29);
    constexpr int n = 200;
    std::vector<double> saved;
    for (int i = 0; i < n; ++i) {
        const FreshSample drawn = fresh_sample(row, coat_and_foam(), inputs_of(plan), random);
        const HeatInputs inputs{row.envelope, row.exchange, drawn.exposure, drawn.around};
        const auto too_hot_kh = [&](const Building& building) {
            double sum = 0;
            for (const TooHot& unit :
                 too_hot_of(simulate(inputs, free_running(building), {}), options.daily_limit_c))
                sum += unit.degree_hours_kh;
            return sum;
        };
        saved.push_back(too_hot_kh(drawn.base) - too_hot_kh(with_plan(plan, drawn)));
    }
    std::ranges::sort(saved);
    const double low = saved[n / 20], high = saved[n - 1 - n / 20];
    const double width = high - low;
    EXPECT_GT(width, 0.1 * plan.saving());
    EXPECT_NEAR(plan.confidence.saving_low, low, 0.25 * width);
    EXPECT_NEAR(plan.confidence.saving_high, high, 0.25 * width);
}

/// A period whose days are all alike, thinned, is the same day fewer times.
TEST(ThinnedDays, OfEqualDaysAnyStandForAll) {
    Row row(1800);
    const std::size_t days = 30;
    const Exposure light =
        exposure_of(row.envelope, 24 * days,
                    [](std::size_t h, const Surface& s) { return light_at(h % 24, s); });
    const Surroundings around = surroundings_of(
        24 * days, 1800, 8, [](double hour) { return air_at(std::fmod(hour, 24.0)); }, 18, 8);
    const ThinnedDays kept = thinned_days({row.envelope, row.exchange, light, around}, 8);
    EXPECT_EQ(kept.surroundings.n_hours, 24u * 7);  // every fourth day, from the third
    EXPECT_DOUBLE_EQ(kept.stands_for, 30.0 / 7);
    const HeatOptions heat;
    const Response whole =
        simulate({row.envelope, row.exchange, light, around}, row.building, heat);
    const Response few = simulate({row.envelope, row.exchange, kept.exposure, kept.surroundings},
                                  row.building, heat);
    for (std::size_t u = 0; u < 3; ++u)
        EXPECT_NEAR(few.cooling_j[u] * kept.stands_for, whole.cooling_j[u],
                    1e-3 * whole.cooling_j[u]);
}

}  // namespace
}  // namespace noonshell
