// The sky as one spot of a surface sees it: the sun's paths over what stands in the way.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/day_paths.hpp"
#include "cli/run_analysis.hpp"
#include "solar/sky_mask.hpp"

namespace noonshell {

/// One SVG page: north up, the horizon as the rim, equal steps of elevation equally far apart; the
/// sun's path on the middle day of every month, the same hours joined; what hides the sky, by name
/// and with its share of the view.
std::string sun_paths_svg(const RunResult& result, const SkyMask& mask,
                          const std::vector<DayPath>& paths, std::string_view title);

}  // namespace noonshell
