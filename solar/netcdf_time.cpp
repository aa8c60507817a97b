#include "solar/netcdf_time.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/cf_time.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

InputPlace place_of(const NetcdfFile& file, const NetcdfVariable& variable) {
    return {.file = file.name(), .line = {}, .column = {}, .entity = variable.name};
}

bool is_time(const NetcdfFile& file, const NetcdfVariable& variable, std::size_t dimension) {
    if (variable.dimensions != std::vector{dimension} || !variable.is_number) return false;
    const auto units = file.text(variable, "units");
    if (!units || units->find(" since ") == std::string::npos) return false;
    return variable.name == file.dimensions()[dimension].name ||
           file.text(variable, "standard_name") == "time";
}

const NetcdfVariable& time_of(const NetcdfFile& file, const NetcdfVariable& variable) {
    for (const std::size_t dimension : variable.dimensions)
        for (const NetcdfVariable& candidate : file.variables())
            if (is_time(file, candidate, dimension)) return candidate;
    throw InputError(place_of(file, variable), "a time axis with units such as \"hours since ...\"",
                     "none");
}

/// Instants `shift_s` after raw numbers; errors name the variable.
std::vector<sys_seconds> instants(const NetcdfFile& file, const NetcdfVariable& variable,
                                  const CfTimeAxis& axis, const std::vector<double>& raw,
                                  double shift_s = 0) {
    std::vector<sys_seconds> result;
    try {
        for (const double value : raw) result.push_back(axis.instant(value, shift_s));
    } catch (const InputError& error) {
        throw InputError(place_of(file, variable), error.expected(), error.seen());
    }
    return result;
}

/// Lower and upper bounds by time, raw; empty where the axis has none.
struct RawBounds {
    std::vector<double> lower, upper;
};

RawBounds read_bounds(const NetcdfFile& file, const NetcdfVariable& time,
                      const NetcdfVariable* bounds) {
    RawBounds raw;
    if (!bounds) return raw;
    const bool pairs = bounds->dimensions.size() == 2 &&
                       bounds->dimensions[0] == time.dimensions[0] &&
                       file.dimensions()[bounds->dimensions[1]].size == 2;
    if (!pairs)
        throw InputError(place_of(file, *bounds), "two time bounds for every time", "others");
    const std::vector<double> flat = file.read(*bounds);
    for (std::size_t i = 0; i < flat.size(); i += 2) {
        raw.lower.push_back(std::min(flat[i], flat[i + 1]));
        raw.upper.push_back(std::max(flat[i], flat[i + 1]));
    }
    return raw;
}

int shortest_step_s(const NetcdfFile& file, const NetcdfVariable& time,
                    const std::vector<sys_seconds>& at) {
    seconds shortest = hours(10000);
    for (std::size_t i = 1; i < at.size(); ++i)
        if (at[i] > at[i - 1]) shortest = std::min(shortest, seconds(at[i] - at[i - 1]));
    const bool several_hours = shortest == hours(2) || shortest == hours(3);
    if (at.size() < 2 || (hours(1) % shortest != seconds(0) && !several_hours))
        throw InputError(place_of(file, time),
                         "times in steps of an hour, of minutes that divide it or of 2 or 3 hours",
                         at.size() < 2 ? "fewer than two times"
                                       : "steps of " + std::to_string(shortest.count()) + " s");
    return static_cast<int>(shortest.count());
}

}  // namespace

NetcdfTimes netcdf_times(const NetcdfFile& file, const NetcdfVariable& variable,
                         std::optional<StampAt> stamp) {
    const NetcdfVariable& time = time_of(file, variable);
    std::optional<CfTimeAxis> axis;
    try {
        axis.emplace(file.text(time, "units").value_or(""),
                     file.text(time, "calendar").value_or("standard"));
    } catch (const InputError& error) {
        throw InputError(place_of(file, time), error.expected(), error.seen());
    }
    NetcdfTimes times;
    times.dimension = time.dimensions[0];
    const std::vector<double> raw = file.read(time);
    times.at = instants(file, time, *axis, raw);
    times.interval_s = shortest_step_s(file, time, times.at);
    const auto bounds_name = file.text(time, "bounds");
    const NetcdfVariable* bounds = bounds_name ? file.variable(*bounds_name) : nullptr;
    const RawBounds raw_bounds = read_bounds(file, time, bounds);
    const double interval = times.interval_s;
    if (bounds) {
        times.lower = instants(file, *bounds, *axis, raw_bounds.lower);
        times.upper = instants(file, *bounds, *axis, raw_bounds.upper);
    }
    // Back along the axis, not on the real calendar: an axis without leap days steps over them.
    times.by_bounds = bounds && !stamp;
    times.found_at_half =
        !bounds && !stamp && stand_at_half_hours(times.at, seconds(0), times.interval_s);
    times.stamp = stamp.value_or(times.found_at_half ? StampAt::middle : StampAt::end);
    if (times.by_bounds) {
        times.interval_begin = instants(file, *bounds, *axis, raw_bounds.upper, -interval);
    } else {
        const double back = times.stamp == StampAt::start    ? 0
                            : times.stamp == StampAt::middle ? interval / 2
                                                             : interval;
        times.interval_begin = instants(file, time, *axis, raw, -back);
    }
    return times;
}

}  // namespace noonshell
