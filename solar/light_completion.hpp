// Global, direct and diffuse light where a file gives only some of them.
#pragma once

#include <vector>

#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// Which parts of the sunlight are known, in words for messages: "global only" and so on.
const char* known_light(const Weather& weather, const std::vector<double>& direct_level_w_m2);

/// Fills those of `global_w_m2`, `direct_normal_w_m2` and `diffuse_w_m2` that are empty, by hour,
/// from those that are not and from `direct_level_w_m2` (direct light on level ground; may be
/// empty). GHI = DNI s + DHI, s the mean sine of the sun as the hour's beam meets the ground
/// (HourSines::of_beam).
/// - DNI and DHI: GHI from both.
/// - GHI and DHI, or GHI and direct level: DNI from their difference; GHI and DNI: DHI from it.
/// - GHI only: DHI by [erbs1982] from the hour's clearness, the rest is direct.
/// - direct level and DHI: DNI from the former.
/// Limits: a DNI that is computed is 0 where s is below sin 3 deg (own choice) and never above what
/// clean dry air lets through (most_beam_w_m2()); what it may not hold goes to a DHI that is
/// computed too, and is lost where DHI was given: a warning "weather-beam-cut" tells more than 1 %.
/// Sets Weather::given_light. What is computed is never below 0. Throws InvariantError where the
/// light cannot be known from what is there (enough_light() says).
void complete_light(const Site& site, const std::vector<double>& direct_level_w_m2,
                    Weather& weather);

/// True when complete_light() can do its work.
bool enough_light(const Weather& weather, const std::vector<double>& direct_level_w_m2);

}  // namespace noonshell
