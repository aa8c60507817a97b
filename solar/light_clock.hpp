// Does the light of the weather come and go with the sun? Finds clocks that are off by less than
// the hours themselves show: stamps in the middle of the hour read as its end, zones half an hour
// off.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// What the light says of its clock.
struct ClockFit {
    double shift_min = 0;          ///< how much later than stated the hours fit best
    double spread_min = 0;         ///< median distance of the days' own shifts from it
    std::size_t n_clear = 0;       ///< days that speak
    double without_sun_wh_m2 = 0;  ///< light beyond what a low sun can give, as read
    double left_wh_m2 = 0;         ///< the same, were the hours shifted
};

/// A day speaks where a clear sky's course ([haurwitz1945]), at some clock and brightness, meets
/// its light to within 5 % (root mean square): days with clouds at one half only do not. Their
/// median is taken; nothing where fewer than 3 days or 2 % of all speak. A sky that grows hazier
/// all day long bends the course too: therefore the light near sunrise and sunset is asked besides.
/// Clouds can take light there, but only a wrong clock puts more than the beam that clean dry air
/// lets through ([kasten1996]), which is more than all light of a low sun at the clearest stations.
std::optional<ClockFit> fit_light_clock(const Site& site, const Weather& weather);

/// "weather-clock-shifted" where the best clock is 12 minutes or more from the stated one, most
/// days agree to within 10, and half the light that comes without a sun or more has one then. From
/// 20 minutes on it is enough that no more light comes without one: haze that bends a day's course
/// so far is met by none of the days that speak, and near the poles, where the sun rises slowly,
/// there is hardly such light.
std::vector<Warning> check_light_clock(const Site& site, const Weather& weather);

}  // namespace noonshell
