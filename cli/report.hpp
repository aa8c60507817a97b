// report.html: one page that opens anywhere, shows the model and needs no network.
#pragma once

#include <string>
#include <string_view>

#include "cli/plan_analysis.hpp"
#include "cli/run_analysis.hpp"

namespace noonshell {

/// The page without its data, as the npm build of cli/page made it; empty where the program was
/// built without it.
std::string_view report_page();

/// The page with its data. Needs a report_page(). Texts of the user's cannot leave the block that
/// they stand in.
std::string report_html(const RunResult& result);

/// The same of a plan, which was made for_report: nothing is ranked, and the plan stands in it.
std::string report_html(const PlanResult& result);

}  // namespace noonshell
