// All that the report page shows, as one JSON document.
#pragma once

#include "cli/json_parts.hpp"
#include "cli/run_analysis.hpp"

namespace noonshell {

/// "summary" is summary.json; "model", "bodies" and "scene" (report_scene.hpp) are for the picture;
/// "days" lists the days that "hours" and "sun" have, and "months" holds mean days and sums of
/// months; arrays of them are packed (packed_numbers.hpp):
/// - "sun": "azimuth_deg", "elevation_deg" [day * 24 + hour], at the middle of the hour's part with
///   the sun up, a gap where it is down; "paths" for one day of each month, every sun step
/// - "hours": "outdoor_c" [day * 24 + hour]; "surface_sun_w_m2", "surface_outside_c",
///   "surface_inward_w" [(surface * days + day) * 24 + hour]; "unit_cooling_w", "unit_heating_w",
///   "unit_air_c", "unit_free_air_c" the same by unit
/// - "months": "direct_w_m2", "sky_w_m2", "ground_w_m2", "bounced_w_m2" [(surface * 12 + month) *
/// 24
///   + hour], mean days; the same names with "_kwh_m2" [surface * 12 + month], sums
/// Without heat the arrays of heat are left out. "treatments", "masks" (report_masks.hpp) and
/// "site_file", line by line, follow. Beside them may stand a "plan", which is plan.json.
Json report_data(const RunResult& result);

}  // namespace noonshell
