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
    std::vector<double> of_beam;     ///< the same, weighted as SunPath::beam_share
    std::vector<double> whole_hour;  ///< mean over the hour, the sun below the horizon as 0
};

/// Means over suns every five minutes. An hour's direct normal mean times `of_beam` is its mean
/// direct light on level ground. Needs no more of the weather than its hours and, where known, its
/// beam, which tells how it runs through the hours (beam_shares).
HourSines hour_sines(const Site& site, const Weather& weather);

/// Day 1..366 of the year in local standard time.
double local_day_of_year(const Site& site, std::chrono::sys_seconds instant);

}  // namespace noonshell
