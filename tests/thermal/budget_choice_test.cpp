// The integer programme against enumeration of every choice.
#include "thermal/budget_choice.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <utility>
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

/// All subsets with one option of a group at most, charges once each: 3^6 of them.
double best_worth_with_charges(const std::vector<BudgetOption>& options,
                               const std::vector<BudgetCharge>& charges, std::size_t n_groups,
                               double budget) {
    std::vector<std::size_t> taken;
    double best = 0;
    const auto from = [&](const auto& self, std::size_t group) -> void {
        if (group == n_groups) {
            double cost = 0, worth = 0;
            std::vector<int> asked(charges.size(), 0);
            for (const std::size_t i : taken) {
                cost += options[i].cost;
                worth += options[i].worth;
                for (const std::size_t c : options[i].charges) asked[c] = 1;
            }
            for (std::size_t c = 0; c < charges.size(); ++c) cost += asked[c] * charges[c].cost;
            if (cost <= budget) best = std::max(best, worth);
            return;
        }
        self(self, group + 1);
        for (std::size_t i = 0; i < options.size(); ++i) {
            if (options[i].group != group) continue;
            taken.push_back(i);
            self(self, group + 1);
            taken.pop_back();
        }
    };
    from(from, 0);
    return best;
}

TEST(BudgetChoice, WithChargesEqualsEnumeration) {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int trial = 0; trial < 60; ++trial) {
        std::vector<BudgetCharge> charges;
        for (int c = 0; c < 3; ++c) charges.push_back({std::round(60 * unit(random))});
        std::vector<BudgetOption> options;
        for (std::size_t g = 0; g < 6; ++g) {
            for (int k = 0; k < 2; ++k) {
                BudgetOption option{g, std::round(50 * unit(random)), unit(random) - 0.1};
                for (std::size_t c = 0; c < 3; ++c) {
                    if (unit(random) < 0.4) option.charges.push_back(c);
                }
                options.push_back(option);
            }
        }
        const double budget = std::round(300 * unit(random));
        const BudgetChoice choice = choose_within(options, budget, charges);
        const double best = best_worth_with_charges(options, charges, 6, budget);
        EXPECT_NEAR(choice.worth, best, 1e-6 * best) << "trial " << trial;
        EXPECT_GE(choice.most_worth, best * (1 - 1e-9)) << "trial " << trial;
        EXPECT_LE(choice.cost, budget);
        EXPECT_DOUBLE_EQ(choice.cost, cost_together(choice.taken, options, charges));
    }
}

/// Options that lose to each other when both are taken: all subsets, at most one of a group.
TEST(BudgetChoice, WithPairsEqualsEnumeration) {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int trial = 0; trial < 60; ++trial) {
        constexpr std::size_t n_groups = 5, per_group = 2;
        std::vector<BudgetOption> options;
        for (std::size_t g = 0; g < n_groups; ++g) {
            for (std::size_t k = 0; k < per_group; ++k)
                options.push_back({g, std::round(50 * unit(random)), 1e9 * unit(random)});
        }
        std::vector<BudgetPair> pairs;
        for (std::size_t a = 0; a < options.size(); ++a) {
            for (std::size_t b = 0; b < options.size(); ++b) {
                if (options[a].group != options[b].group && unit(random) < 0.4)
                    pairs.push_back({a, b, 0.7e9 * unit(random)});
            }
        }
        const double budget = std::round(200 * unit(random));
        double best = 0;
        for (unsigned bits = 0; bits < 1u << options.size(); ++bits) {
            std::vector<int> of_group(n_groups, 0);
            double cost = 0, worth = 0;
            bool may = true;
            for (std::size_t i = 0; i < options.size(); ++i) {
                if ((bits >> i & 1u) == 0) continue;
                may = may && ++of_group[options[i].group] == 1;
                cost += options[i].cost;
                worth += options[i].worth;
            }
            for (const BudgetPair& pair : pairs) {
                if ((bits >> pair.option & 1u) != 0 && (bits >> pair.other & 1u) != 0)
                    worth -= pair.lost;
            }
            if (may && cost <= budget) best = std::max(best, worth);
        }
        const BudgetChoice choice = choose_within(options, budget, {}, 0, pairs);
        EXPECT_NEAR(choice.worth, best, 1e-6 * best) << "trial " << trial;
        EXPECT_GE(choice.most_worth, best * (1 - 1e-9)) << "trial " << trial;
        EXPECT_LE(choice.cost, budget);
        EXPECT_DOUBLE_EQ(choice.worth, worth_with_pairs(choice.taken, options, {}, pairs));
    }
}

/// What has to be gained comes first: all subsets, those that leave least of the demand, then the
/// most worth among them.
TEST(BudgetChoice, WithADemandEqualsEnumeration) {
    std::mt19937 random(9);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int trial = 0; trial < 40; ++trial) {
        std::vector<BudgetOption> options;
        BudgetDemand demand{.gains = {}, .wanted = 100};
        for (std::size_t g = 0; g < 10; ++g) {
            options.push_back({g, std::round(50 * unit(random)), unit(random) - 0.2});
            demand.gains.emplace_back(g, 60 * (unit(random) - 0.2));
        }
        const double budget = std::round(200 * unit(random));
        double least_left = 1, best = 0;
        for (unsigned bits = 0; bits < 1u << options.size(); ++bits) {
            double cost = 0, worth = 0, gained = 0;
            for (std::size_t i = 0; i < options.size(); ++i) {
                if ((bits >> i & 1u) == 0) continue;
                cost += options[i].cost;
                worth += options[i].worth;
                gained += demand.gains[i].second;
            }
            if (cost > budget) continue;
            const double left = std::max(0.0, 1 - gained / demand.wanted);
            if (bits == 0 || left < least_left - 1e-9) {
                least_left = left;
                best = worth;
            } else if (left <= least_left + 1e-9) {
                best = std::max(best, worth);
            }
        }
        const BudgetChoice choice = choose_within(options, budget, {}, 0, {}, {{demand}});
        double gained = 0;
        for (const std::size_t i : choice.taken) gained += demand.gains[i].second;
        EXPECT_NEAR(std::max(0.0, 1 - gained / demand.wanted), least_left, 1e-6) << trial;
        EXPECT_NEAR(choice.worth, best, 1e-6) << trial;
        EXPECT_LE(choice.cost, budget);
    }
}

TEST(BudgetChoice, ChargesNeverBreakTheBudgetByACent) {
    const std::vector<BudgetCharge> charge = {{0.1}};
    std::vector<BudgetOption> options;
    for (std::size_t g = 0; g < 10; ++g) options.push_back({g, 0.1, 1.0, {0}});
    // 0.1 + 0.2 is a little more than 0.3 in binary numbers.
    EXPECT_LE(choose_within(options, 0.3, charge).cost, 0.3);
    EXPECT_EQ(choose_within(options, 0.75, charge).taken.size(), 6u);
    EXPECT_TRUE(choose_within(options, 0.15, charge).taken.empty());
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

// Surfaces of a settlement: hundreds, nearly alike by dozens, some of which share a call-out. The
// best mix of the linear programme, [kellerer2004] ch. 11, is a bound that needs no solver: groups'
// best steps by worth for cost until the money is gone.
TEST(BudgetChoice, OfVeryManyIsNearTheBoundOfTheLinearProgramme) {
    std::mt19937 random(41);
    std::uniform_real_distribution<double> jitter(0.995, 1.005);
    std::vector<BudgetOption> options;
    std::vector<std::pair<double, double>> steps;  // worth for cost, cost
    constexpr std::size_t groups = 700;
    for (std::size_t g = 0; g < groups; ++g) {
        const double cost = 100 + 50 * static_cast<double>(g % 5);
        const double worth = (20 - static_cast<double>(g % 7)) * cost * jitter(random);
        options.push_back({g, cost, worth});
        options.push_back({g, 4 * cost, 1.5 * worth});  // a dearer one, worse for its cost
        steps.emplace_back(worth / cost, cost);
        steps.emplace_back(0.5 * worth / (3 * cost), 3 * cost);
    }
    std::ranges::sort(steps, std::greater<>());
    for (const double budget : {20'000.0, 90'000.0, 250'000.0}) {
        double bound = 0, left = budget;
        for (const auto& [per_cost, cost] : steps) {
            bound += per_cost * std::min(cost, left);
            left -= std::min(cost, left);
        }
        const BudgetChoice choice = choose_within(options, budget);
        EXPECT_LE(choice.cost, budget);
        EXPECT_LE(choice.worth, bound * (1 + 1e-9));
        EXPECT_GE(choice.worth, (1 - 2e-3) * bound);
        EXPECT_GE(choice.most_worth, choice.worth);
        EXPECT_LE(choice.most_worth, (1 + 2e-4) * choice.worth);
    }
}

/// Units all alike but for a hair, each with a call-out that its surfaces share: which of them to
/// take would cost a full search hours. A plan of whole units, the best first, is one to beat.
TEST(BudgetChoice, OfManyUnitsAlikeEndsWithABound) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> jitter(0.999, 1.001);
    std::vector<BudgetOption> options;
    std::vector<BudgetCharge> charges;
    constexpr std::size_t units = 100, surfaces = 5;
    constexpr double call_out = 400;
    struct Whole {
        double worth = 0, cost = call_out;
    };
    std::vector<Whole> wholes(units);
    for (std::size_t u = 0; u < units; ++u) {
        charges.push_back({call_out, 0});
        for (std::size_t s = 0; s < surfaces; ++s) {
            const std::size_t group = u * surfaces + s;
            const double cost = 150 + 40 * static_cast<double>(s), worth = 3 * cost;
            options.push_back({group, cost, worth * jitter(random), {u}});
            wholes[u].worth += options.back().worth;
            wholes[u].cost += cost;
            options.push_back({group, 4 * cost, 2 * worth * jitter(random), {u}});
            options.push_back({group, 7 * cost, 2.4 * worth * jitter(random), {u}});
        }
    }
    std::ranges::sort(wholes, std::greater<>(), [](const Whole& w) { return w.worth / w.cost; });
    for (const double budget : {30'100.0, 110'000.0}) {
        double greedy = 0, left = budget;
        for (const Whole& whole : wholes) {
            if (whole.cost > left) continue;
            left -= whole.cost;
            greedy += whole.worth;
        }
        const BudgetChoice choice = choose_within(options, budget, charges);
        EXPECT_LE(choice.cost, budget);
        EXPECT_GE(choice.worth, greedy * (1 - 1e-9));
        EXPECT_GE(choice.most_worth, choice.worth);
        EXPECT_LE(choice.most_worth, 1.02 * choice.worth) << budget;
    }
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
