#include "cli/small_plants.hpp"

#include <fmt/format.h>

#include <string>

#include "cli/result_units.hpp"
#include "thermal/handbook_day.hpp"

namespace noonshell {

std::optional<Warning> small_plant_warning(const RunResult& result, std::size_t unit,
                                           double not_met_h, double needed_w, bool savings_told) {
    constexpr double tolerable_share = 0.01;  // of the hours, as a design day of 1 % leaves
    constexpr double percent = 100;
    const CoolingPlant& plant = result.building.rooms[unit].plant;
    if (!result.building.rooms[unit].cooled || !plant.is_limited()) return std::nullopt;
    const double hours = static_cast<double>(result.place.weather.size());
    if (not_met_h <= tolerable_share * hours) return std::nullopt;
    std::string text = fmt::format(
        "a plant of {:.2f} kW leaves the room too warm for {:.0f} h, {:.1f} % of the "
        "period (told above 1 %): every hour is met by {:.2f} kW at 35 C outdoors, of "
        "common sizes {:g} kW",
        kilowatts(plant.rated_capacity_w), not_met_h, percent * not_met_h / hours,
        kilowatts(needed_w), kilowatts(plant_to_buy_w(needed_w)));
    if (savings_told)
        text +=
            "; savings, ranks and plans count only what this plant takes out: what treatments "
            "of its room do beyond that makes the room cooler and saves nothing";
    return Warning{std::string(small_plant_code), std::move(text),
                   result.envelope().units[unit].id};
}

}  // namespace noonshell
