#include "thermal/plan_goal.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

std::string_view to_string(PlanGoal goal) {
    switch (goal) {
        case PlanGoal::cooling_energy:
            return "cooling energy";
        case PlanGoal::running_cost:
            return "running cost";
        case PlanGoal::peak_load:
            return "peak load";
        case PlanGoal::present_value:
            return "present value of costs";
        case PlanGoal::too_hot:
            return "degree-hours too hot";
    }
    return "unknown";
}

std::vector<double> burdens_of(PlanGoal goal, const PlanRun& run, const PlanPrices& prices) {
    constexpr double joules_per_kwh = 3.6e6;
    const Response& response = run.response;
    const auto electricity_cost = [&](std::size_t u) {
        return response.priced_electricity_j[u] / joules_per_kwh * prices.electricity_per_kwh;
    };
    std::vector<double> burdens;
    for (std::size_t u = 0; u < response.n_units; ++u) {
        switch (goal) {
            case PlanGoal::cooling_energy:
                burdens.push_back(response.cooling_j[u]);
                break;
            case PlanGoal::running_cost:
                burdens.push_back(electricity_cost(u));
                break;
            case PlanGoal::peak_load:
                burdens.push_back(response.peak_cooling_w[u].value);
                break;
            case PlanGoal::present_value:
                burdens.push_back(electricity_cost(u) / prices.years_of_period *
                                  annuity_factor(prices.discounting));
                break;
            case PlanGoal::too_hot:
                burdens.push_back(run.too_hot.at(u).degree_hours_kh);
                break;
        }
    }
    return burdens;
}

double counted_cost(PlanGoal goal, const LastingCost& lasting, const PlanPrices& prices) {
    const bool coats = lasting.coat_years > 0;
    if (goal == PlanGoal::running_cost) {
        const double coats_a_year = coats ? lasting.coat_cost / lasting.coat_years : 0;
        return (lasting.upkeep_per_year + coats_a_year) * prices.years_of_period;
    }
    if (goal != PlanGoal::present_value) return 0;
    const Discounting& discounting = prices.discounting;
    double sum = lasting.cost * (1 + repeated_factor(discounting, lasting.life_years)) +
                 lasting.upkeep_per_year * annuity_factor(discounting);
    if (!coats) return sum;
    // Within each life from its beginning on.
    for (double begun = 0; begun < discounting.horizon_years; begun += lasting.life_years) {
        const Discounting of_life{std::min(lasting.life_years, discounting.horizon_years - begun),
                                  discounting.rate};
        sum += lasting.coat_cost * repeated_factor(of_life, lasting.coat_years) /
               std::pow(1 + discounting.rate, begun);
    }
    return sum;
}

double counted_once(PlanGoal goal, double cost) {
    return goal == PlanGoal::present_value ? cost : 0;
}

double years_of(const HeatInputs& inputs) {
    constexpr double hours_per_year = 8760;
    return static_cast<double>(inputs.surroundings.n_hours) / hours_per_year;
}

double upkeep_over(double upkeep_per_year, const HeatInputs& inputs) {
    return upkeep_per_year * years_of(inputs);
}

bool wants_free_runs(PlanGoal goal) {
    return goal == PlanGoal::too_hot;
}

}  // namespace noonshell
