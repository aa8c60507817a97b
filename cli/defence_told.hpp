// The layers of defence, for the page and for summary.json.
#pragma once

#include <string>

#include "cli/json_parts.hpp"
#include "cli/run_analysis.hpp"

namespace noonshell {

/// A table with one row per stage; empty where no treatment was tried. `every_unit`: a row for each
/// unit of each stage too.
std::string defence_page(const RunResult& result, bool every_unit);

/// One entry per stage.
Json json_defence(const RunResult& result);

}  // namespace noonshell
