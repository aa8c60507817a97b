// Plans with shades to buy, against enumeration of all shades, sizes and finishes by whole re-runs.
// The shades are made by hand: what they keep off each surface is given, so that no ray is shot.
#include "thermal/shade_search.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <vector>

#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// What shades leave of the light on a surface: each metre of a canopy's reach keeps off some of
/// what the roofs get, each of an awning's some of what the southern walls get.
double light_left(const Surface& surface, const ShadeSettings& shades) {
    double left = 1;
    for (const ShadeRoof& roof : shades.roofs) {
        if (surface.kind == SurfaceKind::roof) left *= std::exp(-0.9 * roof.overhang_m[0]);
    }
    for (const Overhang& overhang : shades.overhangs) {
        if (surface.kind == SurfaceKind::wall && surface.azimuth_deg == 180)
            left *= std::exp(-0.8 * overhang.depth_m);
    }
    return left;
}

class ShadedRow final : public Scenery {
  public:
    ShadedRow(const Row& row, const ShadeSettings& shades) : row_(row) {
        exposure_ = exposure_of(row.envelope, n_hours, [&](std::size_t hour, const Surface& s) {
            return light_at(hour, s) * light_left(s, shades);
        });
    }
    HeatInputs inputs() const override {
        return {row_.envelope, row_.exchange, exposure_, row_.around};
    }
    const Building& building() const override { return row_.building; }
    Exposure light_with(std::span<const double>) const override { return exposure_; }

  private:
    const Row& row_;
    Exposure exposure_;
};

class RowYard final : public ShadeYard {
  public:
    explicit RowYard(const Row& row) : row_(row) {}
    ShadeMeasure measure(const ShadeSettings& shades) const override {
        ShadeMeasure measure{.units = {UnitId(0), UnitId(1), UnitId(2)}};
        for (const ShadeRoof& roof : shades.roofs) {
            measure.area_m2 += 10 + 20 * roof.overhang_m[0];
            ++measure.pieces;
        }
        for (const Overhang& overhang : shades.overhangs) {
            measure.area_m2 += 18 * overhang.depth_m;
            measure.pieces += 3;
        }
        return measure;
    }
    std::shared_ptr<const Scenery> with(const ShadeSettings& shades) const override {
        return std::make_shared<const ShadedRow>(row_, shades);
    }

  private:
    const Row& row_;
};

PlannedShade canopy(double cost_per_m2, LengthRange reach_m = {0, 1}) {
    PlannedShade shade;
    shade.form.roofs.emplace_back();
    shade.form.roofs.front().name = "canopy";
    shade.reach_m = reach_m;
    shade.cost_per_m2 = cost_per_m2;
    return shade;
}

PlannedShade awning(double cost_per_m2) {
    PlannedShade shade;
    shade.form.overhangs.emplace_back();
    shade.form.overhangs.front().name = "awning";
    shade.reach_m = {0.5, 1.5};
    shade.sizes = 2;
    shade.cost_per_m2 = cost_per_m2;
    return shade;
}

std::vector<Treatment> coats() {
    Treatment white;
    white.name = "white coat";
    white.cost_per_m2 = 10;
    white.surfaces = {"*/roof*", "left/wall-s", "right/wall-s"};
    return {white};
}

PlanOptions options_for(const Row& row, const RowYard& yard, std::vector<PlannedShade> shades,
                        double budget) {
    PlanOptions options;
    options.budget = budget;
    options.frontier_points = 6;
    options.trial_surroundings = &row.around_in_long_steps;
    options.shades = std::move(shades);
    options.yard = &yard;
    return options;
}

Plan plan_with(const Row& row, const PlanOptions& options) {
    return make_plan(
        row.inputs(), row.building, coats(), [&](std::span<const double>) { return row.exposure; },
        options);
}

struct Optimum {
    double saving = 0;
    Built built;
};

/// Every set of the sizes that a search begins with, every set of finishes, each run as a whole.
Optimum best_of_all(const Row& row, const PlanOptions& options) {
    const auto treatments = coats();
    const std::vector<Finish> finishes = finishes_of(row.envelope, treatments);
    const SurfaceQuestion question{.inputs = row.inputs(),
                                   .base = row.building,
                                   .treatments = treatments,
                                   .finishes = finishes,
                                   .options = options};
    PlanScenes scenes(question, [&](std::span<const double>) { return row.exposure; });
    std::vector<Built> all_built = {{}};
    for (std::size_t shade = 0; shade < options.shades.size(); ++shade) {
        const std::size_t n = all_built.size();
        for (const ShadeSize& size : first_sizes(options.shades[shade])) {
            const std::size_t t = scenes.trial_of(shade, size, true);
            for (std::size_t i = 0; i < n; ++i) {
                all_built.push_back(all_built[i]);
                all_built.back().push_back(t);
            }
        }
    }
    Optimum best;
    for (const Built& built : all_built) {
        std::vector<Choice> choices;
        for (unsigned bits = 0; bits < 1u << finishes.size(); ++bits) {
            Choice choice;
            for (std::size_t f = 0; f < finishes.size(); ++f) {
                if ((bits >> f & 1u) != 0) choice.push_back(f);
            }
            if (scenes.cost({built, choice}) <= options.budget) choices.push_back(choice);
        }
        scenes.with(built).surfaces->runs().run(choices);
        for (const Choice& choice : choices) {
            const double saving = scenes.burden({}) - scenes.burden({built, choice});
            if (saving > best.saving) best = {saving, built};
        }
    }
    return best;
}

TEST(ShadeSearch, EqualsEnumerationOrItsBoundHolds) {
    const Row row(1800);
    const RowYard yard(row);
    std::size_t with_shades = 0;
    for (const double canopy_price : {4.0, 14.0, 90.0}) {
        for (const double budget : {150.0, 350.0, 600.0, 1200.0}) {
            const PlanOptions options =
                options_for(row, yard, {canopy(canopy_price), awning(1.5 * canopy_price)}, budget);
            const Optimum best = best_of_all(row, options);
            const Plan plan = plan_with(row, options);
            const std::string which =
                std::to_string(canopy_price) + " for " + std::to_string(budget);
            // Sizes between those of the enumeration may be better still.
            EXPECT_GE(plan.saving(), 0.995 * best.saving) << which;
            EXPECT_GE(plan.most_saving, best.saving * (1 - 1e-6)) << which;
            EXPECT_LE(plan.cost, budget);
            with_shades += plan.shades.empty() ? 0 : 1;
        }
    }
    EXPECT_GT(with_shades, 3u);
    EXPECT_LT(with_shades, 12u);
}

TEST(ShadeSearch, StepsAddUpAndTheFrontierFalls) {
    const Row row(1800);
    const RowYard yard(row);
    const Plan plan = plan_with(row, options_for(row, yard, {canopy(4), awning(5)}, 600));
    ASSERT_FALSE(plan.shades.empty());
    double saves = 0, cost = 0;
    std::vector<std::size_t> shades;
    for (const PlanStep& step : plan.steps) {
        saves += step.saves;
        cost += step.cost;
        EXPECT_NEAR(step.cost_so_far, cost, 1e-9 * cost);
        if (step.shade) shades.push_back(*step.shade);
    }
    std::ranges::sort(shades);
    EXPECT_EQ(shades, plan.shades);
    EXPECT_NEAR(saves, plan.saving(), 1e-9 * plan.burden_before);
    EXPECT_NEAR(cost, plan.cost, 1e-9);
    for (std::size_t i = 1; i < plan.frontier.size(); ++i) {
        EXPECT_LE(plan.frontier[i].burden, plan.frontier[i - 1].burden);
        EXPECT_LE(plan.frontier[i].cost, plan.frontier[i].budget * (1 + 1e-12));
    }
    EXPECT_FALSE(plan.frontier.back().shades.empty());
}

TEST(ShadeSearch, MoreShadesToChooseFromNeverMakeItWorse) {
    const Row row(1800);
    const RowYard yard(row);
    for (const double budget : {300.0, 900.0}) {
        const double none = plan_with(row, options_for(row, yard, {}, budget)).saving();
        const double one = plan_with(row, options_for(row, yard, {canopy(9)}, budget)).saving();
        const double two =
            plan_with(row, options_for(row, yard, {canopy(9), awning(4)}, budget)).saving();
        EXPECT_GE(one, none * (1 - 1e-9)) << budget;
        EXPECT_GE(two, one * (1 - 1e-3)) << budget;
    }
}

/// A canopy that keeps nothing off at its near end and costs too much at its far end: it is built
/// as far out as money goes, 20 m2 for each metre and 10 for none.
TEST(ShadeSearch, FindsTheLengthThatTheBudgetReaches) {
    const Row row(1800);
    const RowYard yard(row);
    PlannedShade shade = canopy(1, {0, 4});
    shade.sizes = 2;
    const double budget = 10 + 20 * 1.7;  // less than any coat
    const Plan plan = plan_with(row, options_for(row, yard, {shade}, budget));
    ASSERT_EQ(plan.steps.size(), 1u);
    const ShadeSize size = plan.shade_trials[plan.shades.at(0)].size;
    EXPECT_NEAR(size.reach_m, 1.7, 0.0015);  // lengths are tried to the millimetre
    EXPECT_LE(plan.cost, budget);
}

/// What a shade has called for is there for the coats of its units.
TEST(ShadeSearch, SharesItsCallOutsWithTheFinishes) {
    const Row row(1800);
    const RowYard yard(row);
    PlannedShade shade = canopy(1);
    shade.call_out = "scaffold";
    shade.call_out_cost = 40;
    auto treatments = coats();
    treatments[0].call_out = "scaffold";
    treatments[0].call_out_cost = 40;
    const Plan plan = make_plan(
        row.inputs(), row.building, treatments,
        [&](std::span<const double>) { return row.exposure; },
        options_for(row, yard, {shade}, 5000));
    EXPECT_EQ(plan.shades.size(), 1u);
    EXPECT_GT(plan.steps.size(), 1u);
    EXPECT_EQ(plan.calls.size(), 3u);
    EXPECT_EQ(plan.call_out_cost, 120);
    double calls = 0;
    for (const PlanStep& step : plan.steps) calls += step.call_out_cost;
    EXPECT_NEAR(calls, 120, 1e-9);
}

TEST(ShadeSearch, IsTheSameForAnyNumberOfThreads) {
    const Row row(1800);
    const RowYard yard(row);
    PlanOptions options = options_for(row, yard, {canopy(9), awning(4)}, 700);
    options.threads = 1;
    const Plan one = plan_with(row, options);
    options.threads = 2;
    const Plan two = plan_with(row, options);
    EXPECT_EQ(one.burden_after, two.burden_after);
    EXPECT_EQ(one.most_saving, two.most_saving);
    EXPECT_EQ(one.shades, two.shades);
}

}  // namespace
}  // namespace noonshell
