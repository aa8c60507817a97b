#include "cli/unit_figures.hpp"

#include <numeric>
#include <span>

namespace noonshell {

namespace {

constexpr std::size_t hours_per_day = 24;
constexpr double set_point_margin_k = 0.1;

std::vector<double> daily_means_c(std::span<const double> dry_bulb_c) {
    std::vector<double> means;
    for (std::size_t h = 0; h + hours_per_day <= dry_bulb_c.size(); h += hours_per_day) {
        const auto day = dry_bulb_c.subspan(h, hours_per_day);
        means.push_back(std::accumulate(day.begin(), day.end(), 0.0) / hours_per_day);
    }
    return means;
}

std::vector<double> adaptive_limits_c(const Weather& weather, AdaptiveModel model) {
    std::vector<double> limits = running_mean_outdoor_c(daily_means_c(weather.dry_bulb_c));
    for (double& limit : limits) limit = adaptive_upper_limit_c(model, limit);
    return limits;
}

}  // namespace

std::vector<UnitFigures> unit_figures(const Building& building, const Response& response,
                                      const Weather& weather, AdaptiveModel comfort) {
    const std::vector<double> adaptive = adaptive_limits_c(weather, comfort);
    std::vector<UnitFigures> figures(response.n_units);
    for (std::size_t u = 0; u < figures.size(); ++u) {
        const RoomSettings& room = building.rooms[u];
        figures[u].electricity_j = response.cooling_j[u] / room.cooling_efficiency +
                                   response.heating_j[u] / room.heating_efficiency;
        const std::vector<double> set_point(adaptive.size(),
                                            room.cooling_set_point_c + set_point_margin_k);
        figures[u].hours_too_hot_h =
            time_too_hot(response.air_c, response.n_units, u, room.cooled ? set_point : adaptive)
                .hours_h;
    }
    return figures;
}

}  // namespace noonshell
