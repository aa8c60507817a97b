// The results of a run for the terminal.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Place, ranked surfaces, units, balances, defaults taken, warnings and cautions.
std::string run_page(const RunResult& result);

}  // namespace noonshell
