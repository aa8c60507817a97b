// The best of many options that a budget allows: an integer programme.
#pragma once

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

namespace noonshell {

/// A price paid once, however many of the options that ask for it are taken.
struct BudgetCharge {
    double cost = 0;  ///< 0 or more
    double lost = 0;  ///< of the worth of what asks for it, once; 0 or more
};

/// Something that can be bought. Of the options of one group at most one is taken.
struct BudgetOption {
    std::size_t group = 0;
    double cost = 0;                     ///< 0 or more
    double worth = 0;                    ///< what is not worth anything is never taken
    std::vector<std::size_t> charges{};  ///< that it asks for, indices
};

/// Options that take from each other: what is lost of their worth when both are taken.
struct BudgetPair {
    std::size_t option = 0, other = 0;  ///< of different groups
    double lost = 0;                    ///< 0 or more
};

/// Something that has to be gained: what options bring of it, and how much is wanted. Where not all
/// demands can be met, as little as possible is left of them, each as a share of what it wants, and
/// worth comes second.
struct BudgetDemand {
    std::vector<std::pair<std::size_t, double>> gains;  ///< options and what each brings
    double wanted = 0;                                  ///< above 0
};

struct BudgetChoice {
    std::vector<std::size_t> taken;  ///< indices of options, ascending
    double cost = 0;                 ///< with the charges asked for; never above the budget
    double worth = 0;
    double most_worth = 0;  ///< no choice within the budget is worth more than this; without
                            ///< demands
};

/// Options of the largest worth in sum whose cost in sum stays within the budget: a multiple-choice
/// knapsack ([kellerer2004] ch. 11, from memory) with fixed charges, solved by branch and bound
/// with CBC. Of equal choices the one with the earlier options, as far as they ask for the same
/// charges and stand in no pair. Of more than 500 options a choice within 1e-4 of the best is
/// taken, or the best of 2000 nodes of the search (most_worth holds all the same). Pairs are made
/// linear: a loss of its own for every group and other option, at least what the options of the
/// group that are taken lose to it ([glover1975], from memory). Throws InputError for a cost, a
/// loss or a budget that is negative or not a number, ConvergenceError where the solver ends
/// without a proof.
BudgetChoice choose_within(std::span<const BudgetOption> options, double budget,
                           std::span<const BudgetCharge> charges = {}, double gap = 0,
                           std::span<const BudgetPair> pairs = {},
                           std::span<const BudgetDemand> demands = {});

/// What options are worth together, what they lose to each other and to charges taken off.
double worth_with_pairs(std::span<const std::size_t> taken, std::span<const BudgetOption> options,
                        std::span<const BudgetCharge> charges, std::span<const BudgetPair> pairs);

/// What options cost together, the charges that they ask for once each.
double cost_together(std::span<const std::size_t> taken, std::span<const BudgetOption> options,
                     std::span<const BudgetCharge> charges);

}  // namespace noonshell
