// Counts of the calendar and the clock.
#pragma once

#include <array>
#include <cstddef>

namespace noonshell {

inline constexpr double seconds_per_hour = 3600;
inline constexpr std::size_t hours_per_day = 24, hours_per_week = 7 * hours_per_day;

/// Days of a common year before the first of each month, and of the whole year.
inline constexpr std::array<int, 13> days_before_month{0,   31,  59,  90,  120, 151, 181,
                                                       212, 243, 273, 304, 334, 365};

}  // namespace noonshell
