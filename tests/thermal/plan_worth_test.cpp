// What the money of a plan is worth, by numbers made by hand.
#include "thermal/plan_worth.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <optional>
#include <random>
#include <vector>

namespace noonshell {
namespace {

FrontierPoint spent_by(double cost, double burden) {
    FrontierPoint point;
    point.budget = point.cost = cost;
    point.burden = burden;
    return point;
}

PlanStep worth_step(double cost, double cost_so_far, double saves, double saves_running) {
    PlanStep made;
    made.cost = cost;
    made.cost_so_far = cost_so_far;
    made.saves = saves;
    made.saves_running = saves_running;
    return made;
}

TEST(PlanWorth, TheFirstTenthIsOnePurchaseAtLeast) {
    Plan plan;
    EXPECT_EQ(first_tenth(plan).purchases, 0u);
    plan.cost = 1000;
    plan.steps = {worth_step(60, 60, 9, 1), worth_step(40, 100, 5, 1),
                  worth_step(900, 1000, 30, 1)};
    EXPECT_EQ(first_tenth(plan).purchases, 2u);
    EXPECT_EQ(first_tenth(plan).cost, 100);
    EXPECT_EQ(first_tenth(plan).saves, 14);
    plan.steps = {worth_step(300, 300, 20, 1), worth_step(700, 1000, 24, 1)};
    EXPECT_EQ(first_tenth(plan).purchases, 1u);
    EXPECT_EQ(first_tenth(plan).cost, 300);
}

TEST(PlanWorth, PaybackNeedsAYearAndASaving) {
    EXPECT_EQ(payback_years(worth_step(300, 300, 1, 60), 8760), 5);
    EXPECT_EQ(payback_years(worth_step(300, 300, 1, 60), 8784), 5);
    EXPECT_EQ(payback_years(worth_step(300, 300, 1, 60), 24), std::nullopt);
    EXPECT_EQ(payback_years(worth_step(300, 300, 1, 60), 2 * 8760), std::nullopt);
    EXPECT_EQ(payback_years(worth_step(300, 300, 1, 0), 8760), std::nullopt);
    EXPECT_EQ(payback_years(worth_step(300, 300, 1, -2), 8760), std::nullopt);
}

TEST(PlanWorth, ChangesAreByPurchase) {
    FrontierPoint before = spent_by(10, 100), after = spent_by(30, 60);
    before.finishes = {1, 4, 7};
    after.finishes = {2, 4, 9};
    before.shades = {0};
    const BudgetChange change = change_between(before, after);
    EXPECT_EQ(change.finishes_in, (std::vector<std::size_t>{2, 9}));
    EXPECT_EQ(change.finishes_out, (std::vector<std::size_t>{1, 7}));
    EXPECT_EQ(change.shades_in, std::vector<std::size_t>{});
    EXPECT_EQ(change.shades_out, std::vector<std::size_t>{0});
    EXPECT_EQ(change.saves_per_cost, 2);
    EXPECT_EQ(change_between(before, before).saves_per_cost, std::nullopt);
}

/// By its definition, budget by budget.
std::optional<std::size_t> bend_by_trial(const std::vector<FrontierPoint>& points) {
    double first = 0;
    for (const FrontierPoint& point : points)
        if (point.cost > 0) first = std::max(first, (points[0].burden - point.burden) / point.cost);
    for (std::size_t i = 0; i < points.size(); ++i) {
        bool more_is_spent = false, all_below = true;
        for (std::size_t k = i + 1; k < points.size(); ++k) {
            const auto rate = change_between(points[i], points[k]).saves_per_cost;
            more_is_spent = more_is_spent || rate;
            all_below = all_below && (!rate || *rate < first / 2);
        }
        if (all_below) return more_is_spent ? std::optional(i) : std::nullopt;
    }
    return std::nullopt;
}

TEST(PlanWorth, TheBendIsWhereMoreMoneySavesLessThanHalf) {
    const std::vector<FrontierPoint> even = {spent_by(0, 100), spent_by(10, 90), spent_by(20, 82)};
    EXPECT_EQ(bend_of(even), std::nullopt);
    // The first budget reaches little; two good ones; then 0.3, 0.4 and nothing more.
    const std::vector<FrontierPoint> bent = {spent_by(0, 100), spent_by(10, 97), spent_by(20, 80),
                                             spent_by(30, 74), spent_by(40, 71), spent_by(50, 67),
                                             spent_by(50, 67)};
    EXPECT_EQ(bend_of(bent), 3u);
    EXPECT_EQ(bend_of({}), std::nullopt);
    EXPECT_EQ(bend_of(std::vector<FrontierPoint>(3)), std::nullopt);
    std::minstd_rand random(7);
    std::uniform_real_distribution<double> drawn(0, 40);
    for (int n = 0; n < 200; ++n) {
        std::vector<FrontierPoint> points = {spent_by(0, 1000)};
        for (int i = 0; i < 8; ++i) {
            const FrontierPoint& last = points.back();
            const double more = random() % 5 == 0 ? 0 : drawn(random);
            const double less = more > 0 ? drawn(random) : 0;
            points.push_back(spent_by(last.cost + more, last.burden - less));
        }
        EXPECT_EQ(bend_of(points), bend_by_trial(points)) << n;
    }
}

}  // namespace
}  // namespace noonshell
