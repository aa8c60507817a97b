#include "cli/plan_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <string_view>

#include "cli/result_units.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 12> month_names = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};

}  // namespace

double peaks_of(const Response& response) {
    double sum = 0;
    for (const Peak& peak : response.peak_cooling_w) sum += peak.value;
    return sum;
}

double electricity_of(const Response& response) {
    const auto sum_of_all = [](const std::vector<double>& values) {
        return std::accumulate(values.begin(), values.end(), 0.0);
    };
    return sum_of_all(response.cooling_electricity_j) + sum_of_all(response.heating_electricity_j) +
           sum_of_all(response.fan_electricity_j);
}

std::string finish_text(const PlanResult& result, const Finish& finish) {
    return finish_name(finish, result.run.settings.treatments);
}

std::string input_name(const PlanResult& result, const UncertainInput& input) {
    std::string name(to_string(input.kind));
    if (input.of_treatment()) name += " of " + result.run.settings.treatments[input.treatment].name;
    return name;
}

std::vector<Needed> shopping_list(const PlanResult& result) {
    const std::vector<Treatment>& treatments = result.run.settings.treatments;
    std::vector<Needed> list;
    for (std::size_t t = 0; t < treatments.size(); ++t) {
        Needed needed{.treatment = t};
        for (const PlanStep& step : result.plan.steps) {
            const auto& bought = result.finish_of(step).treatments;
            if (std::find(bought.begin(), bought.end(), t) == bought.end()) continue;
            const double area_m2 = result.surface_of(step).exposed_area_m2;
            ++needed.surfaces;
            needed.area_m2 += area_m2;
            needed.ordered_m2 += ordered_area_m2(treatments[t], area_m2);
            needed.cost += cost_of(treatments[t], area_m2);
            needed.upkeep_per_year += upkeep_per_year(treatments[t], area_m2);
        }
        needed.worn_per_year = needed.cost / treatments[t].life_years;
        if (needed.surfaces > 0) list.push_back(needed);
    }
    return list;
}

std::string why_here(const PlanResult& result, SurfaceId surface) {
    const SurfaceBins& months = result.months;
    std::size_t brightest = 0;
    double most_wh_m2 = 0;
    for (std::size_t m = 0; m < months.n_bins; ++m) {
        if (result.days_of_month[m] <= 0) continue;
        const double a_day = months.total_wh_m2(months.at(m, surface)) / result.days_of_month[m];
        if (a_day <= most_wh_m2) continue;
        most_wh_m2 = a_day;
        brightest = m;
    }
    if (most_wh_m2 <= 0) return "no sun in the period";
    const std::size_t at = months.at(brightest, surface);
    return fmt::format("takes {:.1f} kWh/m2 a day in {}; {:.0f} % of it direct",
                       kwh_of_watt_hours(most_wh_m2), month_names[brightest],
                       100 * months.direct_wh_m2[at] / months.total_wh_m2(at));
}

}  // namespace noonshell
