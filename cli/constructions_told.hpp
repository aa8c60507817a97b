// What the building is made of: every construction in use with its materials and their sources.
#pragma once

#include <string>

#include "cli/json_parts.hpp"
#include "cli/run_analysis.hpp"

namespace noonshell {

std::string constructions_page(const RunResult& result);

Json json_constructions(const RunResult& result);

}  // namespace noonshell
