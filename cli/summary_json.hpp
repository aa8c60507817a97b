// summary.json, which is also what `run --json` prints.
#pragma once

#include <string>

#include "cli/json_parts.hpp"
#include "cli/run_analysis.hpp"

namespace noonshell {

Json summary_document(const RunResult& result);

/// The same as text. Nothing in it depends on the time, the machine or the number of threads.
std::string summary_json(const RunResult& result);

}  // namespace noonshell
