#include "thermal/integer_programme.hpp"

#include <coin/Cbc_C_Interface.h>

#include <array>
#include <cstring>
#include <limits>
#include <memory>
#include <optional>
#include <string>

#include "geometry/child_process.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

// Objectives are near 1: the solver's tolerances are absolute.
constexpr const char* gap_of_objective = "1e-9";

enum class Care { usual, no_preprocessing, no_cuts };

/// Objective, bound and columns; nothing without a proof or, its nodes spent, a solution.
std::vector<double> solve_here(const IntegerProgramme& p, Care care) {
    const std::unique_ptr<Cbc_Model, void (*)(Cbc_Model*)> solver(Cbc_newModel(), Cbc_deleteModel);
    const auto set = [&](const char* what, const char* value) {
        Cbc_setParameter(solver.get(), what, value);
    };
    Cbc_setLogLevel(solver.get(), 0);
    set("logLevel", "0");
    const std::vector<double> lowest(p.objective.size(), 0.0);
    Cbc_loadProblem(solver.get(), p.n_columns(), static_cast<int>(p.row_lowest.size()),
                    p.start.data(), p.row.data(), p.value.data(), lowest.data(), p.highest.data(),
                    p.objective.data(), p.row_lowest.data(), p.row_highest.data());
    for (int column = 0; column < p.n_integer; ++column) Cbc_setInteger(solver.get(), column);
    Cbc_setObjSense(solver.get(), -1);  // the largest
    set("increment", "1e-12");
    set("allowableGap", gap_of_objective);
    set("ratioGap", std::to_string(p.gap).c_str());
    if (p.most_nodes > 0) set("maxNodes", std::to_string(p.most_nodes).c_str());
    if (care != Care::usual) set("preprocess", "off");
    if (care == Care::no_cuts) {
        set("cutsOnOff", "off");
        set("heuristicsOnOff", "off");
        set("presolve", "off");
    }
    Cbc_solve(solver.get());
    const bool spent =
        Cbc_isNodeLimitReached(solver.get()) != 0 && Cbc_numberSavedSolutions(solver.get()) > 0;
    if (!Cbc_isProvenOptimal(solver.get()) && !spent) return {};
    std::vector<double> found{Cbc_getObjValue(solver.get()),
                              Cbc_getBestPossibleObjValue(solver.get())};
    const double* columns = Cbc_getColSolution(solver.get());
    found.insert(found.end(), columns, columns + p.n_columns());
    return found;
}

std::string as_bytes(const std::vector<double>& values) {
    std::string bytes(values.size() * sizeof(double), '\0');
    if (!values.empty()) std::memcpy(bytes.data(), values.data(), bytes.size());
    return bytes;
}

std::vector<double> from_bytes(const std::string& bytes) {
    std::vector<double> values(bytes.size() / sizeof(double));
    if (!values.empty()) std::memcpy(values.data(), bytes.data(), bytes.size());
    return values;
}

}  // namespace

IntegerSolution solved(const IntegerProgramme& programme) {
    std::string how = "it ended without a proof";
    for (const Care care : {Care::usual, Care::no_preprocessing, Care::no_cuts}) {
        try {
            const std::vector<double> found =
                from_bytes(run_in_child([&] { return as_bytes(solve_here(programme, care)); }, {}));
            if (found.size() != 2 + programme.objective.size()) continue;
            return {{found.begin() + 2, found.end()}, found[0], found[1]};
        } catch (const ChildFailure& failure) {
            how = failure.what();
            if (!failure.crashed()) break;  // no more time for another one
        }
    }
    throw ConvergenceError("the integer programme of " + std::to_string(programme.n_integer) +
                           " choices was not solved: " + how);
}

}  // namespace noonshell
