// Instants of a run as text in the site's standard time.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>

#include "solar/weather.hpp"

namespace noonshell {

/// "2023-07-21T15:15+03:00"
std::string local_time_text(std::chrono::sys_seconds instant_utc, double utc_offset_h);

/// "21 Jul 15:15", for tables.
std::string short_local_time_text(std::chrono::sys_seconds instant_utc, double utc_offset_h);

/// The instant at which heat step `step` of a run ends; `steps_per_hour` steps to each weather
/// hour.
std::chrono::sys_seconds end_of_step(const Weather& weather, std::size_t step,
                                     std::size_t steps_per_hour);

/// The instant at which the last weather hour ends.
std::chrono::sys_seconds end_of_period(const Weather& weather);

}  // namespace noonshell
