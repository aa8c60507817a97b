#include "thermal/budget_choice.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>

#include "geometry/diagnostics.hpp"
#include "thermal/integer_programme.hpp"

namespace noonshell {

namespace {

// Among very many options, dozens of them nearly alike, the last digits would take minutes to
// hours: of a hundred alike units the search has to tell which, and it matters little.
constexpr std::size_t most_options_solved_exactly = 500;
constexpr double gap_of_many = 1e-4;
constexpr int most_nodes_of_many = 2000;

/// What the options of one group lose to another option.
struct GroupLoss {
    std::map<std::size_t, double> of_option;
    double largest = 0;
    int row = 0;
};
using LossMap = std::map<std::pair<std::size_t, std::size_t>, GroupLoss>;  // by group and other

LossMap losses_of(std::span<const BudgetOption> options, std::span<const BudgetPair> pairs,
                  const std::vector<std::size_t>& offered) {
    LossMap losses;
    for (const BudgetPair& pair : pairs) {
        if (!(pair.lost > 0) || !std::ranges::binary_search(offered, pair.option) ||
            !std::ranges::binary_search(offered, pair.other))
            continue;
        GroupLoss& loss = losses[{options[pair.option].group, pair.other}];
        double& own = loss.of_option[pair.option];
        own += pair.lost;
        loss.largest = std::max(loss.largest, own);
    }
    return losses;
}

/// What has to be gained, and how much of it may be left in all, as shares of what each wants;
/// without that figure the programme makes it least and looks at no worth.
struct Demanded {
    std::span<const BudgetDemand> demands;
    std::optional<double> may_be_left;
    bool comes_first() const { return !demands.empty() && !may_be_left; }
};

/// Columns are the options in `offered`, then the charges that these ask for, then the losses of
/// pairs; row 0 is the budget, then the groups, then one for every group and charge: what is taken
/// asks for it; then one for every group and other option of a pair. Worths are in shares of the
/// largest.
IntegerProgramme model_of(std::span<const BudgetOption> options,
                          std::span<const BudgetCharge> charges, std::span<const BudgetPair> pairs,
                          const Demanded& demanded, const std::vector<std::size_t>& offered,
                          double largest_worth, double budget) {
    const std::span<const BudgetDemand> demands = demanded.demands;
    std::map<std::size_t, int> row_of_group;
    std::map<std::pair<std::size_t, std::size_t>, int> row_of_call;  // by charge and group
    for (const std::size_t i : offered) {
        row_of_group.emplace(options[i].group, 0);
        for (const std::size_t c : options[i].charges)
            row_of_call.emplace(std::pair(c, options[i].group), 0);
    }
    int rows = 1;
    for (auto& [group, row] : row_of_group) row = rows++;
    const int first_call = rows;
    for (auto& [call, row] : row_of_call) row = rows++;
    LossMap losses = losses_of(options, pairs, offered);
    std::map<std::size_t, std::vector<std::pair<int, double>>> lost_in;  // rows, by option
    const int first_loss = rows;
    for (auto& [place, loss] : losses) {
        loss.row = rows++;
        for (const auto& [option, lost] : loss.of_option)
            lost_in[option].emplace_back(loss.row, lost / largest_worth);
        lost_in[place.second].emplace_back(loss.row, loss.largest / largest_worth);
    }

    const int first_demand = rows;
    for (const BudgetDemand& demand : demands) {
        for (const auto& [option, gain] : demand.gains)
            lost_in[option].emplace_back(rows, gain / demand.wanted);
        ++rows;
    }
    const int left_in_all = rows;
    if (demanded.may_be_left) ++rows;
    const double worth_share = demanded.comes_first() ? 0 : 1 / largest_worth;

    IntegerProgramme columns;
    for (const std::size_t i : offered) {
        columns.add(0, options[i].cost);
        columns.add(row_of_group[options[i].group], 1);
        for (const std::size_t c : options[i].charges)
            columns.add(row_of_call[{c, options[i].group}], 1);
        for (const auto& [row, lost] : lost_in[i]) columns.add(row, lost);
        columns.end_column(options[i].worth * worth_share);
    }
    for (auto call = row_of_call.begin(); call != row_of_call.end();) {
        const std::size_t c = call->first.first;
        columns.add(0, charges[c].cost);
        for (; call != row_of_call.end() && call->first.first == c; ++call)
            columns.add(call->second, -1);
        columns.end_column(-charges[c].lost * worth_share);
    }
    columns.n_integer = columns.n_columns();
    for (const auto& [place, loss] : losses) {
        columns.add(loss.row, -1);
        columns.end_column(demanded.comes_first() ? 0 : -1, loss.largest / largest_worth);
    }
    for (std::size_t d = 0; d < demands.size(); ++d) {
        columns.add(first_demand + static_cast<int>(d), 1);
        if (demanded.may_be_left) columns.add(left_in_all, 1);
        double most = 1;
        for (const auto& [option, gain] : demands[d].gains)
            most += std::abs(gain) / demands[d].wanted;
        columns.end_column(demanded.comes_first() ? -1 : 0, most);
    }
    std::vector<double>& row_lowest = columns.row_lowest;
    std::vector<double>& row_highest = columns.row_highest;
    row_lowest.assign(static_cast<std::size_t>(rows), -std::numeric_limits<double>::max());
    row_highest.assign(static_cast<std::size_t>(rows), 1.0);
    row_highest[0] = budget;
    std::fill(row_highest.begin() + first_call, row_highest.begin() + first_loss, 0.0);
    std::fill(row_lowest.begin() + first_demand, row_lowest.begin() + left_in_all, 1.0);
    std::fill(row_highest.begin() + first_demand, row_highest.end(),
              std::numeric_limits<double>::max());
    if (demanded.may_be_left) row_highest.back() = *demanded.may_be_left;
    for (const auto& [place, loss] : losses)
        row_highest[static_cast<std::size_t>(loss.row)] = loss.largest / largest_worth;
    return columns;
}

IntegerProgramme limited(IntegerProgramme programme, double gap, std::size_t n_options) {
    const bool many = n_options > most_options_solved_exactly;
    programme.gap = many ? std::max(gap, gap_of_many) : gap;
    programme.most_nodes = many ? most_nodes_of_many : 0;
    return programme;
}

/// The solver keeps the budget to its tolerance only: what is too much gives way, the least worth
/// for its cost first.
void keep_within(std::span<const BudgetOption> options, std::span<const BudgetCharge> charges,
                 double budget, std::vector<std::size_t>& taken) {
    while (!taken.empty() && cost_together(taken, options, charges) > budget) {
        const auto least = std::min_element(taken.begin(), taken.end(), [&](auto a, auto b) {
            return options[a].worth * options[b].cost < options[b].worth * options[a].cost;
        });
        taken.erase(least);
    }
}

/// Of options alike in cost and worth the earlier one.
void prefer_earlier(std::span<const BudgetOption> options, std::span<const BudgetPair> pairs,
                    const std::vector<std::size_t>& offered, std::vector<std::size_t>& taken) {
    std::set<std::size_t> groups, paired;
    for (const BudgetPair& pair : pairs) paired.insert({pair.option, pair.other});
    for (const std::size_t i : taken) groups.insert(options[i].group);
    for (std::size_t& i : taken) {
        if (paired.contains(i)) continue;
        for (const std::size_t j : offered) {
            if (j >= i) break;
            if (paired.contains(j)) continue;
            if (options[j].cost != options[i].cost || options[j].worth != options[i].worth ||
                options[j].charges != options[i].charges || groups.contains(options[j].group))
                continue;
            groups.erase(options[i].group);
            groups.insert(options[j].group);
            i = j;
            break;
        }
    }
    std::sort(taken.begin(), taken.end());
}

void check_cost(const char* what, std::size_t i, double cost) {
    if (cost >= 0) return;
    throw InputError({.entity = what + std::to_string(i)}, "0 or more", std::to_string(cost));
}

}  // namespace

double cost_together(std::span<const std::size_t> taken, std::span<const BudgetOption> options,
                     std::span<const BudgetCharge> charges) {
    double sum = 0;
    std::set<std::size_t> asked_for;
    for (const std::size_t i : taken) {
        sum += options[i].cost;
        asked_for.insert(options[i].charges.begin(), options[i].charges.end());
    }
    double charged = 0;
    for (const std::size_t c : asked_for) charged += charges[c].cost;
    return sum + charged;
}

double worth_with_pairs(std::span<const std::size_t> taken, std::span<const BudgetOption> options,
                        std::span<const BudgetCharge> charges, std::span<const BudgetPair> pairs) {
    double sum = 0;
    std::set<std::size_t> asked_for;
    for (const std::size_t i : taken) {
        sum += options[i].worth;
        asked_for.insert(options[i].charges.begin(), options[i].charges.end());
    }
    for (const std::size_t c : asked_for) sum -= charges[c].lost;
    const std::set<std::size_t> all(taken.begin(), taken.end());
    for (const BudgetPair& pair : pairs) {
        if (all.contains(pair.option) && all.contains(pair.other)) sum -= pair.lost;
    }
    return sum;
}

BudgetChoice choose_within(std::span<const BudgetOption> options, double budget,
                           std::span<const BudgetCharge> charges, double gap,
                           std::span<const BudgetPair> pairs,
                           std::span<const BudgetDemand> demands) {
    if (!(budget >= 0)) throw InputError({.entity = "budget"}, "0 or more", std::to_string(budget));
    for (std::size_t c = 0; c < charges.size(); ++c) {
        check_cost("cost of charge ", c, charges[c].cost);
        check_cost("loss by charge ", c, charges[c].lost);
    }
    for (std::size_t k = 0; k < pairs.size(); ++k) check_cost("loss of pair ", k, pairs[k].lost);
    std::set<std::size_t> brings;  // what is demanded
    for (const BudgetDemand& demand : demands) {
        for (const auto& [option, gain] : demand.gains) {
            if (gain > 0) brings.insert(option);
        }
    }
    std::vector<std::size_t> offered;
    double largest = 0;
    for (std::size_t i = 0; i < options.size(); ++i) {
        check_cost("cost of option ", i, options[i].cost);
        if ((!(options[i].worth > 0) && !brings.contains(i)) ||
            cost_together(std::span(&i, 1), options, charges) > budget)
            continue;
        offered.push_back(i);
        largest = std::max(largest, std::abs(options[i].worth));
    }
    BudgetChoice choice;
    if (offered.empty()) return choice;
    if (largest <= 0) largest = 1;

    Demanded demanded{demands, std::nullopt};
    if (demanded.comes_first()) {
        const IntegerSolution first =
            solved(limited(model_of(options, charges, pairs, demanded, offered, largest, budget), 0,
                           offered.size()));
        constexpr double tolerance = 1e-7;  // of the solver
        demanded.may_be_left = -first.objective + tolerance;
    }
    IntegerProgramme programme =
        model_of(options, charges, pairs, demanded, offered, largest, budget);
    const IntegerSolution solution = solved(limited(std::move(programme), gap, offered.size()));
    constexpr double half = 0.5;
    for (std::size_t k = 0; k < offered.size(); ++k) {
        if (solution.column[k] > half) choice.taken.push_back(offered[k]);
    }
    keep_within(options, charges, budget, choice.taken);
    if (demands.empty()) prefer_earlier(options, pairs, offered, choice.taken);
    choice.cost = cost_together(choice.taken, options, charges);
    choice.worth = worth_with_pairs(choice.taken, options, charges, pairs);
    const double bound = solution.bound * largest;
    choice.most_worth = std::max(choice.worth, bound);
    return choice;
}

}  // namespace noonshell
