// The building from above and from its four sides, painted by a result.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// One SVG page: plan and four sides on one scale of lengths, hidden parts cut away, every surface
/// in its colour of coloured.step (colour_value()) with its unit's name and value where there is
/// room, hatched where it has no value; scale bar, north arrow and colour scale. The sides are
/// main_sides_deg(); the one nearest to north is up in the plan.
std::string views_svg(const RunResult& result, ColourBy by);

}  // namespace noonshell
