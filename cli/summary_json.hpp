// summary.json, which is also what `run --json` prints.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Nothing in it depends on the time, the machine or the number of threads.
std::string summary_json(const RunResult& result);

}  // namespace noonshell
