// What a plan is to make small.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "thermal/response.hpp"

namespace noonshell {

enum class PlanGoal {
    cooling_energy,  ///< heat taken out by cooling over the period [J]
    running_cost,    ///< electricity of cooling, heating and fans [currency]
    peak_load        ///< sum of the units' largest cooling loads [W]
};

std::string_view to_string(PlanGoal goal);

/// The goal's figure of every unit, #units; units that a part run left out count nothing.
std::vector<double> burdens_of(PlanGoal goal, const Response& response,
                               double electricity_price_per_kwh);

}  // namespace noonshell
