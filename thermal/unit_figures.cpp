#include "thermal/unit_figures.hpp"

#include <numeric>
#include <span>

#include "solar/common_year.hpp"

namespace noonshell {

namespace {

double mean(std::span<const double> values) {
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

std::vector<double> daily_means_c(std::span<const double> dry_bulb_c) {
    std::vector<double> means;
    for (std::size_t h = 0; h + hours_per_day <= dry_bulb_c.size(); h += hours_per_day)
        means.push_back(mean(dry_bulb_c.subspan(h, hours_per_day)));
    return means;
}

}  // namespace

std::vector<double> adaptive_limits_c(const Weather& weather, AdaptiveModel model) {
    std::vector<double> limits = running_mean_outdoor_c(daily_means_c(weather.dry_bulb_c));
    // Before a part-day at the end lie the same days as before the first one: the period repeats.
    if (weather.size() % hours_per_day != 0)
        limits.push_back(limits.empty() ? mean(weather.dry_bulb_c) : limits.front());
    for (double& limit : limits) limit = adaptive_upper_limit_c(model, limit);
    return limits;
}

std::vector<UnitFigures> unit_figures(const Response& with_plant, const Response& free,
                                      const Weather& weather, AdaptiveModel comfort) {
    const std::vector<double> limits = adaptive_limits_c(weather, comfort);
    std::vector<UnitFigures> figures(with_plant.n_units);
    for (std::size_t u = 0; u < figures.size(); ++u) {
        const TooHot too_hot = time_too_hot(free.operative_c, free.n_units, u, limits);
        figures[u] = {.electricity_j = with_plant.cooling_electricity_j[u] +
                                       with_plant.heating_electricity_j[u] +
                                       with_plant.fan_electricity_j[u],
                      .priced_electricity_j = with_plant.priced_electricity_j[u],
                      .needed_capacity_w = with_plant.needed_capacity_w[u],
                      .hours_not_met_h = with_plant.hours_not_met_h[u],
                      .peak_free_air_c = free.peak_air_c[u],
                      .hours_too_hot_h = too_hot.hours_h,
                      .too_hot_kh = too_hot.degree_hours_kh,
                      .heat_stress = heat_stress(free, u, weather.pressure_pa)};
    }
    return figures;
}

}  // namespace noonshell
