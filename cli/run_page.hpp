// The results of a run for the terminal.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Place, findings, ranked surfaces (the first twenty, or every one), units, balances, defaults
/// taken, warnings and cautions.
std::string run_page(const RunResult& result, bool every_surface);

}  // namespace noonshell
