// What every surface sees above the horizon, for its sun-path diagram on the report page.
#pragma once

#include "cli/json_parts.hpp"
#include "cli/run_analysis.hpp"

namespace noonshell {

/// {"azimuth_step_deg", "elevation_step_deg", "names", "surfaces"}: `names` are those of units and
/// bodies; `surfaces` is #surfaces, each null where no part is in the open, else numbers packed as
/// [elevation * n_azimuths + azimuth], azimuth clockwise from north, elevation from 0 up: 0 sky, 1
/// behind the surface, 2 hills, 3 ground, 4 and more: names[number - 4]. Null for buildings of very
/// many surfaces.
Json report_masks(const RunResult& result);

}  // namespace noonshell
