// The integer programme against enumeration of every choice.
#include "thermal/budget_choice.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

/// The largest worth that the budget allows, by trying all.
double best_worth(const std::vector<BudgetOption>& options, std::size_t n_groups, double budget) {
    const auto from = [&](const auto& self, std::size_t group, double left) -> double {
        if (group == n_groups) return 0;
        double best = self(self, group + 1, left);
        for (const BudgetOption& option : options) {
            if (option.group != group || option.cost > left) continue;
            best = std::max(best, option.worth + self(self, group + 1, left - option.cost));
        }
        return best;
    };
    return from(from, 0, budget);
}

TEST(BudgetChoice, EqualsEnumerationOnRandomCases) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int trial = 0; trial < 60; ++trial) {
        const std::size_t n_groups = 2 + trial % 6;
        std::vector<BudgetOption> options;
        for (std::size_t g = 0; g < n_groups; ++g) {
            for (int k = 0; k < 4; ++k)
                options.push_back({g, std::round(100 * unit(random)), 1e9 * (unit(random) - 0.1)});
        }
        const double budget = std::round(60.0 * static_cast<double>(n_groups) * unit(random));
        const BudgetChoice choice = choose_within(options, budget);
        const double best = best_worth(options, n_groups, budget);
        EXPECT_NEAR(choice.worth, best, 1e-6 * best) << "trial " << trial;
        EXPECT_GE(choice.most_worth, best * (1 - 1e-9)) << "trial " << trial;
        EXPECT_LE(choice.most_worth, best * (1 + 1e-6)) << "trial " << trial;
        EXPECT_LE(choice.cost, budget);
        std::vector<int> taken(n_groups, 0);
        double cost = 0;
        for (const std::size_t i : choice.taken) {
            EXPECT_EQ(++taken[options[i].group], 1);
            EXPECT_GT(options[i].worth, 0);
            cost += options[i].cost;
        }
        EXPECT_DOUBLE_EQ(choice.cost, cost);
    }
}

TEST(BudgetChoice, NeverSpendsACentTooMuch) {
    // Ten times 0.1 is a little less than 1, three times 0.1 a little more than 0.3.
    std::vector<BudgetOption> options;
    for (std::size_t g = 0; g < 10; ++g) options.push_back({g, 0.1, 1.0});
    EXPECT_LE(choose_within(options, 0.3).cost, 0.3);
    EXPECT_LE(choose_within(options, 0.99).cost, 0.99);
    EXPECT_EQ(choose_within(options, 0.99).taken.size(), 9u);
    EXPECT_TRUE(choose_within(options, 0.0).taken.empty());
}

TEST(BudgetChoice, TakesTheEarlierOfEqualOptions) {
    const std::vector<BudgetOption> options = {{0, 5, 2}, {1, 5, 2}, {2, 5, 2}};
    EXPECT_EQ(choose_within(options, 10).taken, (std::vector<std::size_t>{0, 1}));
}

TEST(BudgetChoice, WhatHarmsIsNeverTaken) {
    const std::vector<BudgetOption> options = {{0, 0, -1}, {1, 0, 0}};
    EXPECT_TRUE(choose_within(options, 100).taken.empty());
}

TEST(BudgetChoice, RefusesWhatIsNoBudget) {
    const std::vector<BudgetOption> options = {{0, 1, 1}};
    EXPECT_THROW(choose_within(options, -1), InputError);
    EXPECT_THROW(choose_within(options, std::numeric_limits<double>::quiet_NaN()), InputError);
    const std::vector<BudgetOption> odd = {{0, -1, 1}};
    EXPECT_THROW(choose_within(odd, 1), InputError);
}

}  // namespace
}  // namespace noonshell
