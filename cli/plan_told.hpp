// What `plan` found, as a page, as JSON and as tables.
#pragma once

#include <string>

#include "cli/json_parts.hpp"
#include "cli/plan_analysis.hpp"

namespace noonshell {

std::string plan_page(const PlanResult& result, bool more);
/// "candidates" is all that can be bought; each budget of "frontier" lists by index what it buys.
Json plan_document(const PlanResult& result);
std::string plan_json(const PlanResult& result);
/// One row per purchase, in order.
std::string plan_csv(const PlanResult& result);
/// One row per budget.
std::string frontier_csv(const PlanResult& result);

}  // namespace noonshell
