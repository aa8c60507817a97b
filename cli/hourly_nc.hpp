// hourly.nc: sun and heat by the hour, for those who go on computing.
#pragma once

#include <filesystem>
#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Writes `file`, NetCDF-4 by the conventions CF-1.8 [cf2020]; `name` stands for it in messages.
/// "time" is the end of each hour, "time_bounds" its begin and end; dates are those of
/// ToldCalendar. Values are means over the hour [time, surface] or [time, room]:
/// - "direct_w_m2", "sky_w_m2", "ground_w_m2", "bounced_w_m2" [W m-2]: light on the surface, mean
///   over all of it, covered parts counted as dark
/// - "outside_c" [degC], missing for a surface that is wholly covered; "inward_w" [W], missing for
///   one without a room behind it
/// - "air_c", "operative_c" [degC], "cooling_w", "heating_w" [W] of rooms
/// With the sun alone what concerns heat and rooms is left out. "surface_id" and "room_id" name
/// them, in the order of summary.json. Throws InputError where the file cannot be written,
/// Interrupted.
void write_hourly_nc(const RunResult& result, const std::filesystem::path& file,
                     const std::string& name);

}  // namespace noonshell
