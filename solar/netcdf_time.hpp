// The time axis of a NetCDF variable: instants and intervals.
#pragma once

#include <chrono>
#include <optional>
#include <vector>

#include "solar/netcdf_file.hpp"
#include "solar/weather_table.hpp"

namespace noonshell {

struct NetcdfTimes {
    std::size_t dimension = 0;
    std::vector<std::chrono::sys_seconds> at;              ///< #times
    std::vector<std::chrono::sys_seconds> lower, upper;    ///< time bounds; #times or none
    int interval_s = 3600;                                 ///< the shortest step of the axis
    std::vector<std::chrono::sys_seconds> interval_begin;  ///< #times
    StampAt stamp = StampAt::end;                          ///< where times stand in their intervals
    bool by_bounds = false;                                ///< the bounds say so, not `stamp`
    bool found_at_half = false;  ///< `stamp` is found, see stand_at_half_hours()
};

/// The axis among the variable's dimensions whose coordinate has units "... since ...". Intervals
/// end at the upper bounds where there are any, unless `stamp` says where the time stands in them
/// (where neither does: in the middle
/// where they stand_at_half_hours(), else at the end). Throws InputError for no such axis, fewer
/// than two times, or steps that are not an hour, minutes that divide it, or 2 or 3 hours.
NetcdfTimes netcdf_times(const NetcdfFile& file, const NetcdfVariable& variable,
                         std::optional<StampAt> stamp);

}  // namespace noonshell
