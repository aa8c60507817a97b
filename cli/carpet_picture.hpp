// The mean day of every month as a carpet of hours and months: sun and heat of one surface or room.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// One SVG page: sun on the surface, W/m2, and with heat what passes inward, W/m2.
std::string carpet_svg(const RunResult& result, SurfaceId surface);

/// Heat taken out of the room, kW, and the room's air without cooling, C; only where there is heat.
std::string carpet_svg(const RunResult& result, UnitId unit);

}  // namespace noonshell
