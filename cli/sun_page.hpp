// The page of a run with the sun alone.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Surfaces by the sun on them, the most first. `more` prints every surface, the bodies that shade
/// it and its months.
std::string sun_page(const RunResult& result, bool more);

}  // namespace noonshell
