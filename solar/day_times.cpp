#include "solar/day_times.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "solar/common_year.hpp"

namespace noonshell {

namespace {

/// Seconds after the start of its hour at which a sun step begins. A path holds only the steps with
/// the sun up: the missing ones lie before a rising and after a setting sun.
double step_begin_s(const SunPath& path, std::size_t hour, std::uint32_t step) {
    const std::uint32_t begin = path.hour_begin[hour], end = path.hour_begin[hour + 1];
    const auto per_hour = static_cast<std::uint32_t>(std::lround(seconds_per_hour / path.step_s));
    const bool rising = end - begin > 1
                            ? path.elevation_deg[end - 1] > path.elevation_deg[begin]
                            : hour + 1 < path.n_hours() && path.hour_begin[hour + 2] > end;
    const std::uint32_t first = rising ? per_hour - (end - begin) : 0;
    return (first + (step - begin)) * path.step_s;
}

std::chrono::sys_days local_day(const Site& site, const Weather& weather, std::size_t hour) {
    return std::chrono::floor<std::chrono::days>(local_start(site, weather, hour));
}

}  // namespace

std::chrono::sys_seconds local_start(const Site& site, const Weather& weather, std::size_t hour) {
    return weather.hour_start_utc[hour] +
           std::chrono::seconds(std::llround(site.utc_offset_h * seconds_per_hour));
}

double time_of_day_s(const Site& site, const Weather& weather, std::size_t hour) {
    const auto start = local_start(site, weather, hour);
    return static_cast<double>((start - std::chrono::floor<std::chrono::days>(start)).count());
}

TimeSpan time_before(std::span<const Vec3> normals, const SunPath& path, std::size_t hour) {
    TimeSpan span{seconds_per_hour, 0};
    for (std::uint32_t k = path.hour_begin[hour]; k < path.hour_begin[hour + 1]; ++k) {
        const Vec3& sun = path.direction[k];
        const bool faced = std::any_of(normals.begin(), normals.end(),
                                       [&sun](const Vec3& normal) { return normal.dot(sun) > 0; });
        if (path.is_hidden(k) || !faced) continue;
        const double begin_s = step_begin_s(path, hour, k);
        span.begin_s = std::min(span.begin_s, begin_s);
        span.end_s = std::max(span.end_s, begin_s + path.step_s);
    }
    return span;
}

void widen(SunTimes& times, double start_s, const TimeSpan& span) {
    if (span.begin_s >= span.end_s) return;
    const double begin_s = start_s + span.begin_s, end_s = start_s + span.end_s;
    times.earliest_sun_s = std::min(times.earliest_sun_s.value_or(begin_s), begin_s);
    times.latest_sun_s = std::max(times.latest_sun_s.value_or(end_s), end_s);
}

void DaySum::add(std::size_t hour, double light_wh_m2, SunTimes& times) {
    const std::chrono::sys_days day = local_day(site_, weather_, hour);
    if (!begun_ || day != day_) {
        begun_ = true;
        day_ = day;
        sum_wh_m2_ = 0;
        first_hour_ = hour;
        while (first_hour_ > 0 && local_day(site_, weather_, first_hour_ - 1) == day) --first_hour_;
    }
    sum_wh_m2_ += light_wh_m2;
    if (sum_wh_m2_ <= times.worst_day_wh_m2) return;
    times.worst_day_begin = first_hour_;
    times.worst_day_wh_m2 = sum_wh_m2_;
}

}  // namespace noonshell
