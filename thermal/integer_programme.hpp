// A mixed integer programme and its solver.
#pragma once

#include <vector>

namespace noonshell {

/// Largest objective; columns are 0 or more, the first `n_integer` of them whole. A column's
/// entries are [start[c], start[c + 1]) of `row` and `value`.
struct IntegerProgramme {
    std::vector<int> start = {0}, row;
    std::vector<double> value;
    std::vector<double> objective, highest;       ///< #columns
    std::vector<double> row_lowest, row_highest;  ///< #rows
    int n_integer = 0;
    double gap = 0;      ///< a solution this share short of the best will do
    int most_nodes = 0;  ///< of the search, after which the best so far will do; 0: no limit

    int n_columns() const { return static_cast<int>(objective.size()); }
    void add(int to_row, double coefficient) {
        row.push_back(to_row);
        value.push_back(coefficient);
    }
    void end_column(double worth, double at_most = 1) {
        start.push_back(static_cast<int>(row.size()));
        objective.push_back(worth);
        highest.push_back(at_most);
    }
};

struct IntegerSolution {
    std::vector<double> column;  ///< #columns
    double objective = 0;
    double bound = 0;  ///< no solution has more
};

/// By branch and bound with CBC, in a process of its own: the library ends the process that it
/// runs in where one of its own checks fails, and prints. What crashed is tried again without
/// preprocessing, then without cuts. Throws ConvergenceError where none ends with a proof, or with
/// a solution and a bound when its nodes are spent.
IntegerSolution solved(const IntegerProgramme& programme);

}  // namespace noonshell
