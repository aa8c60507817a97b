// facet_hours.csv, facet_months.csv and facet_times.csv: the sun of single facets.
#pragma once

#include <vector>

#include "cli/run_analysis.hpp"
#include "cli/sun_files.hpp"

namespace noonshell {

/// For the facets that were asked for; none where none were.
std::vector<SunFile> facet_files(const RunResult& result);

}  // namespace noonshell
