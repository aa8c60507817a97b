#include "thermal/plan_goal.hpp"

#include "geometry/diagnostics.hpp"

namespace noonshell {

std::string_view to_string(PlanGoal goal) {
    switch (goal) {
        case PlanGoal::cooling_energy:
            return "cooling energy";
        case PlanGoal::running_cost:
            return "running cost";
        case PlanGoal::peak_load:
            return "peak load";
    }
    return "unknown";
}

std::vector<double> burdens_of(PlanGoal goal, const Response& response,
                               double electricity_price_per_kwh) {
    constexpr double joules_per_kwh = 3.6e6;
    std::vector<double> burdens;
    for (std::size_t u = 0; u < response.n_units; ++u) {
        switch (goal) {
            case PlanGoal::cooling_energy:
                burdens.push_back(response.cooling_j[u]);
                break;
            case PlanGoal::running_cost:
                burdens.push_back((response.cooling_electricity_j[u] +
                                   response.heating_electricity_j[u] +
                                   response.fan_electricity_j[u]) /
                                  joules_per_kwh * electricity_price_per_kwh);
                break;
            case PlanGoal::peak_load:
                burdens.push_back(response.peak_cooling_w[u].value);
                break;
        }
    }
    return burdens;
}

double upkeep_over(double upkeep_per_year, const HeatInputs& inputs) {
    constexpr double hours_per_year = 8760;
    return upkeep_per_year * static_cast<double>(inputs.surroundings.n_hours) / hours_per_year;
}

}  // namespace noonshell
