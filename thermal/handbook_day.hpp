// The size of a cooling plant by the handbook's design day, to stand beside the year's own peak.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "thermal/simulate.hpp"

namespace noonshell {

/// A hot clear day made from a year of weather as [ashrae2021] ch. 14 makes one from long records:
/// its highest dry bulb is exceeded in 0.4 % of the year's hours; it falls from there by the
/// profile of table 6 over the month's mean range on its hottest days (those that pass the month's
/// 5 % value); dew point and wind are those that come with the hottest hours. The month is the one
/// with the hottest mean. Sun and sky are those of the month's brightest day, in place of optical
/// depths that a year of weather does not tell.
struct HandbookDay {
    std::size_t first_hour = 0;  ///< in the year, of the day whose sun it has
    double peak_dry_bulb_c = 0, daily_range_k = 0, dew_point_c = 0, wind_m_s = 0;
    Weather weather;  ///< its 24 hours
};

/// None for less than a year of whole days. `month` 0 to 11 of every hour.
std::optional<HandbookDay> handbook_day(const Site& site, const Weather& year,
                                        std::span<const std::uint8_t> month);

/// The largest load of one unit on that day, repeated until the walls settle, gains as on its
/// weekday.
struct DesignLoad {
    double total_w = 0;            ///< as Response::peak_load_w
    double latent_w = 0;           ///< of the vapour in it
    double needed_capacity_w = 0;  ///< as Response::needed_capacity_w
};

/// #units. `year` is the run that the building's light and outdoors come from; the deep ground is
/// that year's.
std::vector<DesignLoad> design_loads(const HeatInputs& year, const Building& building,
                                     const Site& site, const HandbookDay& day,
                                     const SurroundingsOptions& outdoors,
                                     const HeatOptions& options);

/// The plants to buy for a load that needs the rated capacity `needed_w`, of the sizes that split
/// units are commonly made in (2.0, 2.6, 3.5, 5.3, 7.0, 8.8, 10.5 and 14 kW; common practice): the
/// smallest that does, above 14 kW as many of 14 kW as it takes with the smallest that does for
/// what these leave. Largest first; none for no load.
std::vector<double> plants_to_buy_w(double needed_w);
/// Their sum [W].
double plant_to_buy_w(double needed_w);

}  // namespace noonshell
