#include "thermal/budget_choice.hpp"

#include <coin/Cbc_C_Interface.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <memory>
#include <set>
#include <string>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

// Worths are given to the solver in shares of the largest: its tolerances are absolute.
constexpr const char* gap_of_shares = "1e-9";

using Solver = std::unique_ptr<Cbc_Model, void (*)(Cbc_Model*)>;

/// Columns are the options in `offered`; row 0 is the budget, the others the groups.
Solver model_of(std::span<const BudgetOption> options, const std::vector<std::size_t>& offered,
                double largest_worth, double budget) {
    std::map<std::size_t, int> row_of_group;
    for (const std::size_t i : offered) row_of_group.emplace(options[i].group, 0);
    int rows = 1;
    for (auto& [group, row] : row_of_group) row = rows++;

    std::vector<int> start = {0}, index;
    std::vector<double> value, objective;
    for (std::size_t k = 0; k < offered.size(); ++k) {
        const BudgetOption& option = options[offered[k]];
        index.insert(index.end(), {0, row_of_group[option.group]});
        value.insert(value.end(), {option.cost, 1.0});
        start.push_back(static_cast<int>(index.size()));
        objective.push_back(option.worth / largest_worth);
    }
    const std::vector<double> lowest(offered.size(), 0.0), highest(offered.size(), 1.0);
    const std::vector<double> row_lowest(static_cast<std::size_t>(rows),
                                         -std::numeric_limits<double>::max());
    std::vector<double> row_highest(static_cast<std::size_t>(rows), 1.0);
    row_highest[0] = budget;

    Solver solver(Cbc_newModel(), Cbc_deleteModel);
    Cbc_setLogLevel(solver.get(), 0);
    Cbc_setParameter(solver.get(), "logLevel", "0");
    const int columns = static_cast<int>(offered.size());
    Cbc_loadProblem(solver.get(), columns, rows, start.data(), index.data(), value.data(),
                    lowest.data(), highest.data(), objective.data(), row_lowest.data(),
                    row_highest.data());
    for (int column = 0; column < columns; ++column) Cbc_setInteger(solver.get(), column);
    Cbc_setObjSense(solver.get(), -1);  // the largest
    Cbc_setParameter(solver.get(), "ratioGap", "0");
    Cbc_setParameter(solver.get(), "increment", "1e-12");
    Cbc_setParameter(solver.get(), "allowableGap", gap_of_shares);
    return solver;
}

/// The solver keeps the budget to its tolerance only: what is too much gives way, the least worth
/// for its cost first.
void keep_within(std::span<const BudgetOption> options, double budget,
                 std::vector<std::size_t>& taken) {
    const auto cost = [&] {
        double sum = 0;
        for (const std::size_t i : taken) sum += options[i].cost;
        return sum;
    };
    while (!taken.empty() && cost() > budget) {
        const auto least = std::min_element(taken.begin(), taken.end(), [&](auto a, auto b) {
            return options[a].worth * options[b].cost < options[b].worth * options[a].cost;
        });
        taken.erase(least);
    }
}

/// Of options alike in cost and worth the earlier one.
void prefer_earlier(std::span<const BudgetOption> options, const std::vector<std::size_t>& offered,
                    std::vector<std::size_t>& taken) {
    std::set<std::size_t> groups;
    for (const std::size_t i : taken) groups.insert(options[i].group);
    for (std::size_t& i : taken) {
        for (const std::size_t j : offered) {
            if (j >= i) break;
            if (options[j].cost != options[i].cost || options[j].worth != options[i].worth ||
                groups.contains(options[j].group))
                continue;
            groups.erase(options[i].group);
            groups.insert(options[j].group);
            i = j;
            break;
        }
    }
    std::sort(taken.begin(), taken.end());
}

}  // namespace

BudgetChoice choose_within(std::span<const BudgetOption> options, double budget) {
    if (!(budget >= 0)) throw InputError({.entity = "budget"}, "0 or more", std::to_string(budget));
    std::vector<std::size_t> offered;
    double largest = 0;
    for (std::size_t i = 0; i < options.size(); ++i) {
        const BudgetOption& option = options[i];
        if (!(option.cost >= 0))
            throw InputError({.entity = "cost of option " + std::to_string(i)}, "0 or more",
                             std::to_string(option.cost));
        if (!(option.worth > 0) || option.cost > budget) continue;
        offered.push_back(i);
        largest = std::max(largest, option.worth);
    }
    BudgetChoice choice;
    if (offered.empty()) return choice;

    const Solver solver = model_of(options, offered, largest, budget);
    Cbc_solve(solver.get());
    if (!Cbc_isProvenOptimal(solver.get()))
        throw ConvergenceError("the integer programme of " + std::to_string(offered.size()) +
                               " options ended without a proof");
    const double* share = Cbc_getColSolution(solver.get());
    for (std::size_t k = 0; k < offered.size(); ++k) {
        if (share[k] > 0.5) choice.taken.push_back(offered[k]);
    }
    keep_within(options, budget, choice.taken);
    prefer_earlier(options, offered, choice.taken);
    for (const std::size_t i : choice.taken) {
        choice.cost += options[i].cost;
        choice.worth += options[i].worth;
    }
    const double bound = Cbc_getBestPossibleObjValue(solver.get()) * largest;
    choice.most_worth = std::max(choice.worth, bound);
    return choice;
}

}  // namespace noonshell
