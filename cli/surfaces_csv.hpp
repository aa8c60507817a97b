// surfaces.csv: one line per surface, for spreadsheets.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// RFC 4180: comma, CRLF, quotes where needed. Units stand in the column names; the columns are
/// those of summary.json with the best treatment of each surface, then five columns for each
/// treatment such as "saves_cooling_kwh[white coating]"; those of parts that were not run are left
/// out. At most seven digits a number. Empty where
/// there is no value.
std::string surfaces_csv(const RunResult& result);

}  // namespace noonshell
