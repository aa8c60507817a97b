#include "cli/plan_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <span>
#include <string_view>

#include "cli/day_table.hpp"
#include "cli/result_units.hpp"
#include "thermal/plan_worth.hpp"

namespace noonshell {

namespace {

constexpr std::size_t hours_a_day = 24;

struct HourSpan {
    std::size_t begin = 0, end = hours_a_day;
};

/// The fewest hours in a row that hold half of the sum; of equally many those that hold most, the
/// first of equals. NaN counts as none.
HourSpan shortest_half(std::span<const float> hours) {
    const auto value = [&](std::size_t h) -> double {
        return std::isfinite(hours[h]) ? hours[h] : 0;
    };
    double all = 0;
    for (std::size_t h = 0; h < hours.size(); ++h) all += value(h);
    for (std::size_t length = 1; length < hours.size(); ++length) {
        double most = 0;
        HourSpan best;
        for (std::size_t begin = 0; begin + length <= hours.size(); ++begin) {
            double held = 0;
            for (std::size_t h = begin; h < begin + length; ++h) held += value(h);
            if (held <= most) continue;
            most = held;
            best = {begin, begin + length};
        }
        if (2 * most >= all) return best;
    }
    return {};
}

double light_w_m2(const Exposure& exposure, std::size_t hour, SurfaceId surface) {
    const std::size_t i = exposure.at(hour, surface);
    const float light = exposure.direct_w_m2[i] + exposure.sky_w_m2[i] + exposure.ground_w_m2[i] +
                        exposure.bounced_w_m2[i];
    return static_cast<double>(light);
}

/// The month in which most light a day falls on the surface while its room is cooled as it stands;
/// of a room that never is, or a surface of none, simply most light a day.
std::size_t month_to_tell(const PlanResult& result, SurfaceId surface) {
    const Exposure& exposure = result.run.light.exposure;
    const Plan& plan = result.plan;
    const UnitId unit = result.run.envelope().surfaces[surface.index()].unit;
    std::array<double, month_names.size()> any{}, cooled{};
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        const std::size_t month = result.month_of_hour[hour];
        const double light = light_w_m2(exposure, hour, surface) / result.days_of_month[month];
        any[month] += light;
        if (unit.valid() && !plan.cooling_before_w.empty() &&
            plan.cooling_before_w[hour * plan.before.n_units + unit.index()] > 0)
            cooled[month] += light;
    }
    const auto most = std::ranges::max_element(cooled);
    if (*most > 0) return static_cast<std::size_t>(most - cooled.begin());
    return static_cast<std::size_t>(std::ranges::max_element(any) - any.begin());
}

}  // namespace

double peaks_of(const Response& response) {
    double sum = 0;
    for (const Peak& peak : response.peak_cooling_w) sum += peak.value;
    return sum;
}

double priced_electricity_of(const Response& response) {
    return std::accumulate(response.priced_electricity_j.begin(),
                           response.priced_electricity_j.end(), 0.0);
}

double in_told_unit(PlanGoal goal, double figure) {
    return goal == PlanGoal::cooling_energy ? kwh_of_joules(figure) : figure;
}

std::string finish_text(const PlanResult& result, const Finish& finish) {
    return finish_name(finish, result.run.settings.treatments);
}

std::string input_name(const PlanResult& result, const UncertainInput& input) {
    std::string name(to_string(input.kind));
    if (input.of_treatment()) name += " of " + result.run.settings.treatments[input.treatment].name;
    return name;
}

const std::string& shade_name(const PlanResult& result, const ShadeTrial& trial) {
    return result.run.settings.planned_shades[trial.shade].name();
}

std::string shade_text(const PlanResult& result, const ShadeTrial& trial) {
    const PlannedShade& planned = result.run.settings.planned_shades[trial.shade];
    std::string text(planned.kind());
    if (planned.is_roof()) text += fmt::format(", {:.2f} m above", trial.size.height_m);
    return text + fmt::format(", reaching {:.2f} m", trial.size.reach_m);
}

Bought bought_by(const PlanResult& result, const PlanStep& step) {
    if (step.shade) {
        const ShadeTrial& trial = result.shade_of(step);
        return {shade_name(result, trial), shade_text(result, trial), trial.area_m2,
                trial.upkeep_per_year, why_shade(result, trial)};
    }
    const Surface& surface = result.surface_of(step);
    const Finish& finish = result.finish_of(step);
    return {surface.id, finish_text(result, finish), surface.exposed_area_m2,
            finish.upkeep_per_year, why_here(result, finish.surface)};
}

std::optional<double> payback_of(const PlanResult& result, const PlanStep& step) {
    return payback_years(step, result.run.light.exposure.n_hours);
}

std::vector<Needed> shopping_list(const PlanResult& result) {
    const std::vector<Treatment>& treatments = result.run.settings.treatments;
    std::vector<Needed> list;
    for (std::size_t t = 0; t < treatments.size(); ++t) {
        Needed needed{.name = treatments[t].name,
                      .life_years = treatments[t].life_years,
                      .coat_years = treatments[t].recoat_years};
        for (const PlanStep& step : result.plan.steps) {
            if (step.shade) continue;
            const auto& bought = result.finish_of(step).treatments;
            if (std::find(bought.begin(), bought.end(), t) == bought.end()) continue;
            const double area_m2 = result.surface_of(step).exposed_area_m2;
            ++needed.surfaces;
            needed.area_m2 += area_m2;
            needed.ordered_m2 += ordered_area_m2(treatments[t], area_m2);
            needed.cost += cost_of(treatments[t], area_m2);
            needed.upkeep_per_year += upkeep_per_year(treatments[t], area_m2);
            needed.coat_cost += coat_cost(treatments[t], area_m2);
        }
        if (needed.surfaces > 0) list.push_back(std::move(needed));
    }
    for (const std::size_t t : result.plan.shades) {
        const ShadeTrial& trial = result.plan.shade_trials[t];
        const PlannedShade& planned = result.run.settings.planned_shades[trial.shade];
        list.push_back({.name = planned.name(),
                        .surfaces = trial.pieces,
                        .life_years = planned.life_years,
                        .area_m2 = trial.area_m2,
                        .ordered_m2 = trial.area_m2,
                        .cost = trial.cost,
                        .upkeep_per_year = trial.upkeep_per_year});
    }
    for (Needed& needed : list) needed.worn_per_year = needed.cost / needed.life_years;
    return list;
}

std::vector<std::string> sharing(const PlanResult& result, const CallOut& call) {
    const auto asks = [&](const PlanStep& step) {
        if (step.shade) {
            const ShadeTrial& trial = result.shade_of(step);
            return result.run.settings.planned_shades[trial.shade].call_out == call.kind &&
                   std::ranges::find(trial.units, call.unit) != trial.units.end();
        }
        return result.surface_of(step).unit == call.unit &&
               std::ranges::any_of(result.finish_of(step).treatments, [&](std::size_t t) {
                   return result.run.settings.treatments[t].call_out == call.kind;
               });
    };
    std::vector<std::string> names;
    for (const PlanStep& step : result.plan.steps)
        if (asks(step)) names.push_back(bought_by(result, step).where);
    return names;
}

std::string why_shade(const PlanResult& result, const ShadeTrial& trial) {
    const SurfaceBins& months = result.months;
    const std::vector<Surface>& surfaces = result.run.envelope().surfaces;
    std::size_t most_spared = 0;
    double most_wh = 0;
    for (std::size_t s = 0; s < trial.light_left.size(); ++s) {
        if (!surfaces[s].unit.valid()) continue;
        double light_wh_m2 = 0;
        for (std::size_t m = 0; m < months.n_bins; ++m)
            light_wh_m2 += months.total_wh_m2(months.at(m, SurfaceId(s)));
        const double spared_wh = light_wh_m2 * surfaces[s].area_m2 * (1 - trial.light_left[s]);
        if (spared_wh <= most_wh) continue;
        most_wh = spared_wh;
        most_spared = s;
    }
    if (most_wh <= 0) return "keeps no light off";
    return fmt::format("keeps {:.0f} % of the light off {}",
                       100 * (1 - trial.light_left[most_spared]), surfaces[most_spared].id);
}

std::string clock_text(int minute_of_day) {
    return fmt::format("{:02}:{:02}", minute_of_day / 60, minute_of_day % 60);
}

std::optional<TellingMonth> telling_month(const PlanResult& result, SurfaceId surface) {
    const Exposure& exposure = result.run.light.exposure;
    const DayTable& days = *result.mean_days;
    const std::size_t month = month_to_tell(result, surface);
    const SurfaceBins& months = result.months;
    const std::size_t at = months.at(month, surface);
    const double all_wh_m2 = months.total_wh_m2(at);
    if (all_wh_m2 <= 0) return std::nullopt;
    TellingMonth told;
    told.month = month;
    told.day_kwh_m2 = kwh_of_watt_hours(all_wh_m2 / result.days_of_month[month]);
    told.direct_share = months.direct_wh_m2[at] / all_wh_m2;
    const std::vector<float> table =
        days.table([&](std::size_t hour) { return light_w_m2(exposure, hour, surface); });
    const auto day = std::ranges::find(days.days(), month, &DayTable::Day::month);
    const auto hours = std::span(table).subspan(
        static_cast<std::size_t>(day - days.days().begin()) * hours_a_day, hours_a_day);
    const HourSpan half = shortest_half(hours);
    told.half_from_min = static_cast<int>(half.begin) * 60 + days.first_minute();
    told.half_to_min = static_cast<int>(half.end) * 60 + days.first_minute();
    return told;
}

std::string why_here(const PlanResult& result, SurfaceId surface) {
    const auto light = telling_month(result, surface);
    if (!light) return "no sun in the period";
    return fmt::format("{:.1f} kWh/m2 of light a day in {}; {:.0f} % direct; half from {} to {}",
                       light->day_kwh_m2, month_names[light->month], 100 * light->direct_share,
                       clock_text(light->half_from_min), clock_text(light->half_to_min));
}

}  // namespace noonshell
