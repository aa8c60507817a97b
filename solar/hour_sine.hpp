// The height of the sun over whole hours of weather.
#pragma once

#include <chrono>
#include <vector>

#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// Sine of the sun's apparent elevation, by hour; #hours each.
struct HourSines {
    std::vector<double> while_up;    ///< mean over the part of the hour with the sun up; 0 at night
    std::vector<double> whole_hour;  ///< mean over the hour, the sun below the horizon as 0
};

/// Means over suns every five minutes. An hour's direct normal mean times `while_up` is its mean
/// direct light on level ground, if the beam is even while the sun is up. Needs no more of the
/// weather than its hours.
HourSines hour_sines(const Site& site, const Weather& weather);

/// Day 1..366 of the year in local standard time.
double local_day_of_year(const Site& site, std::chrono::sys_seconds instant);

}  // namespace noonshell
