// Electricity and hours too hot of every unit.
#pragma once

#include <vector>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Electricity by the efficiencies of the room's plant. Hours too hot: with cooling, air more than
/// 0.1 K above its set-point; without, air above the adaptive limit (thermal/comfort.hpp).
std::vector<UnitFigures> unit_figures(const Building& building, const Response& response,
                                      const Weather& weather, AdaptiveModel comfort);

}  // namespace noonshell
