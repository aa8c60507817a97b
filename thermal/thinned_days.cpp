#include "thermal/thinned_days.hpp"

#include <numeric>
#include <optional>
#include <utility>

#include "solar/common_year.hpp"

namespace noonshell {

namespace {

/// The values of certain hours, each hour with `width` of them.
template <class T>
void keep_hours_of(std::vector<T>& values, const std::vector<std::size_t>& hours,
                   std::size_t width) {
    if (values.empty()) return;
    std::vector<T> kept;
    kept.reserve(hours.size() * width);
    for (const std::size_t hour : hours) {
        const auto begin = values.begin() + static_cast<std::ptrdiff_t>(hour * width);
        kept.insert(kept.end(), begin, begin + static_cast<std::ptrdiff_t>(width));
    }
    values = std::move(kept);
}

}  // namespace

Exposure light_of_hours(const Exposure& all, const std::vector<std::size_t>& hours) {
    Exposure kept;
    kept.n_hours = hours.size();
    kept.n_surfaces = all.n_surfaces;
    kept.n_parts = all.n_parts;
    kept.reflectance = all.reflectance;
    kept.part_light_wh_m2 = all.part_light_wh_m2;
    kept.sunlit_ground_share = all.sunlit_ground_share;
    std::vector<std::size_t> rows;
    for (const std::size_t hour : hours) rows.push_back(all.begin_of(hour) / all.n_surfaces);
    for (auto part : {&Exposure::direct_w_m2, &Exposure::sky_w_m2, &Exposure::ground_w_m2,
                      &Exposure::bounced_w_m2}) {
        kept.*part = all.*part;
        keep_hours_of(kept.*part, rows, all.n_surfaces);
    }
    return kept;
}

ThinnedDays thinned_days(const HeatInputs& inputs, std::size_t most_days) {
    const Exposure& exposure = inputs.exposure;
    const Surroundings& surroundings = inputs.surroundings;
    std::optional<PaneLight> panes;
    if (inputs.panes != nullptr) panes = *inputs.panes;
    const std::size_t n_days = surroundings.n_hours / hours_per_day;
    std::vector<std::size_t> days;
    if (n_days <= most_days) {
        days.resize((surroundings.n_hours + hours_per_day - 1) / hours_per_day);
        std::iota(days.begin(), days.end(), std::size_t{0});
        return {exposure, surroundings, std::move(panes), 1, std::move(days)};
    }
    const std::size_t every = (n_days + most_days - 1) / most_days;
    std::vector<std::size_t> hours;
    for (std::size_t day = every / 2; day < n_days; day += every) {
        days.push_back(day);
        for (std::size_t h = 0; h < hours_per_day; ++h) hours.push_back(day * hours_per_day + h);
    }
    if (panes) panes = panes->of_hours(hours);
    ThinnedDays kept{light_of_hours(exposure, hours), surroundings, std::move(panes),
                     static_cast<double>(surroundings.n_hours) / static_cast<double>(hours.size()),
                     std::move(days)};
    Surroundings& around = kept.surroundings;
    around.n_hours = hours.size();
    for (auto by_step : {&Surroundings::air_c, &Surroundings::sky_longwave_w_m2,
                         &Surroundings::ground_longwave_w_m2, &Surroundings::ground_c})
        keep_hours_of(around.*by_step, hours, around.steps_per_hour);
    for (auto by_hour : {&Surroundings::forced_windward_w_m2k, &Surroundings::forced_leeward_w_m2k,
                         &Surroundings::forced_unknown_w_m2k, &Surroundings::wind_m_s,
                         &Surroundings::wind_from_deg, &Surroundings::air_heat_j_m3k,
                         &Surroundings::pressure_pa, &Surroundings::humidity_kg_kg})
        keep_hours_of(around.*by_hour, hours, 1);
    keep_hours_of(around.week_hour, hours, 1);
    return kept;
}

}  // namespace noonshell
