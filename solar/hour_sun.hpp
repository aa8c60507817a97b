// The sun over one hour of weather, for checks that need no sun path.
#pragma once

#include <chrono>

#include "solar/site.hpp"

namespace noonshell {

/// Highest apparent elevation [deg] of the sun at the beginning, middle and end of the hour that
/// begins at `hour_start_utc`. It misses a culmination between them by less than 0.5 degrees.
double highest_elevation_deg(const Site& site, std::chrono::sys_seconds hour_start_utc);

}  // namespace noonshell
