// What a plan is to make small.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "thermal/kept_runs.hpp"
#include "thermal/present_value.hpp"

namespace noonshell {

enum class PlanGoal {
    cooling_energy,  ///< heat taken out by cooling over the period [J]
    running_cost,    ///< electricity of cooling, heating and fans, upkeep of treatments [currency]
    peak_load,       ///< sum of the units' largest cooling loads [W]
    present_value,   ///< of all that is paid over a horizon: purchases, electricity, upkeep, new
                     ///< coats, what wears out bought again [currency]
    too_hot          ///< degree-hours above the adaptive limit of comfort without cooling [K h]
};

std::string_view to_string(PlanGoal goal);

/// What energy costs and how later payments count.
struct PlanPrices {
    double electricity_per_kwh = 0.2;
    Discounting discounting;
    double years_of_period = 1;  ///< that the runs cover
};

/// The goal's figure of every unit without what purchases cost, #units; units that a part run left
/// out count nothing.
std::vector<double> burdens_of(PlanGoal goal, const PlanRun& run, const PlanPrices& prices);

/// Something bought that lasts.
struct LastingCost {
    double cost = 0;  ///< paid now, and again where it wears out within a horizon
    double life_years = 10;
    double upkeep_per_year = 0;            ///< without new coats
    double coat_cost = 0, coat_years = 0;  ///< of a new coat every so often; 0 years: never
};

/// What it adds to the goal's figure: upkeep and new coats over the period, evenly, for the running
/// cost; for the present value all that is paid over the horizon, new coats when they are due and
/// none at the end of a life; else nothing.
double counted_cost(PlanGoal goal, const LastingCost& lasting, const PlanPrices& prices);

/// The same of what is paid now and once.
double counted_once(PlanGoal goal, double cost);

/// Upkeep over a run's period [currency].
double upkeep_over(double upkeep_per_year, const HeatInputs& inputs);
double years_of(const HeatInputs& inputs);  ///< that a run covers

/// Whether the goal looks at rooms without cooling.
bool wants_free_runs(PlanGoal goal);

}  // namespace noonshell
