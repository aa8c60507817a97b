// How the beam of an hour, of which the mean alone is known, runs through the hour's suns.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// The share of each step in its hour's beam, 1 over an hour's steps, #elevation_deg: that of a
/// cloudless sky, exp(-T d), d the depth of clean air and T the Linke turbidity, [kasten1996]. T is
/// that of the clearest hour within six hours either way, from 2 (the clearest air) to 8: dust lies
/// in the air for days, clouds come and go. It is 3, of the countryside, where the weather has no
/// beam. `hour_begin` and `elevation_deg` (degrees, > 0) as in SunPath. What clouds do within an
/// hour is not known.
std::vector<double> beam_shares(const Site& site, const Weather& weather,
                                std::span<const std::uint32_t> hour_begin,
                                std::span<const double> elevation_deg);

}  // namespace noonshell
