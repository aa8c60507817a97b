// What a plan is to make small.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "thermal/simulate.hpp"

namespace noonshell {

enum class PlanGoal {
    cooling_energy,  ///< heat taken out by cooling over the period [J]
    running_cost,    ///< electricity of cooling, heating and fans, upkeep of treatments [currency]
    peak_load        ///< sum of the units' largest cooling loads [W]
};

std::string_view to_string(PlanGoal goal);

/// The goal's figure of every unit without upkeep, #units; units that a part run left out count
/// nothing.
std::vector<double> burdens_of(PlanGoal goal, const Response& response,
                               double electricity_price_per_kwh);

/// Upkeep over a run's period [currency].
double upkeep_over(double upkeep_per_year, const HeatInputs& inputs);

}  // namespace noonshell
