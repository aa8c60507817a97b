// What a unit costs to run with its plant, and how hot it gets without cooling.
#pragma once

#include <vector>

#include "solar/weather.hpp"
#include "thermal/building.hpp"
#include "thermal/comfort.hpp"
#include "thermal/heat_stress.hpp"
#include "thermal/response.hpp"

namespace noonshell {

struct UnitFigures {
    double electricity_j = 0;         ///< of cooling, heating and the ventilation's fan
    double priced_electricity_j = 0;  ///< see Response
    Peak needed_capacity_w;           ///< see Response
    double hours_not_met_h = 0;
    Peak peak_free_air_c;  ///< room air without cooling
    double hours_too_hot_h =
        0;                   ///< without cooling, operative temperature above the adaptive limit
    double too_hot_kh = 0;   ///< the same as degree-hours
    HeatStress heat_stress;  ///< without cooling
};

/// Adaptive limits of comfort without cooling, one for each day [C]. A part-day at the end has its
/// own, from the whole days before it; a period shorter than a day that of its own mean.
std::vector<double> adaptive_limits_c(const Weather& weather, AdaptiveModel model);

/// `with_plant` is the run of a building, `free` the one of free_running() of it. The adaptive
/// limit (comfort.hpp) is held at the end of its range on days beyond it. #units.
std::vector<UnitFigures> unit_figures(const Response& with_plant, const Response& free,
                                      const Weather& weather, AdaptiveModel comfort);

}  // namespace noonshell
