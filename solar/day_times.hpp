// Times of day of sun steps and hours: what sun_times() and facet_times() have in common.
#pragma once

#include <chrono>
#include <cstddef>
#include <span>

#include "geometry/vec3.hpp"
#include "solar/site.hpp"
#include "solar/sun_path.hpp"
#include "solar/surface_hours.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// An hour's beginning by the site's clock.
std::chrono::sys_seconds local_start(const Site& site, const Weather& weather, std::size_t hour);

/// Seconds after local midnight at which an hour begins.
double time_of_day_s(const Site& site, const Weather& weather, std::size_t hour);

/// Seconds after the beginning of an hour; empty where the end is not after the beginning.
struct TimeSpan {
    double begin_s = 0, end_s = 0;
};

/// The part of an hour in which the sun is up before something that faces along any of the normals.
TimeSpan time_before(std::span<const Vec3> normals, const SunPath& path, std::size_t hour);

/// Lets the earliest and latest sun take in a part of an hour that begins `start_s` after midnight.
void widen(SunTimes& times, double start_s, const TimeSpan& span);

/// Adds up the light of local days; hours come in order, dark ones may be left out.
class DaySum {
  public:
    DaySum(const Site& site, const Weather& weather) : site_(site), weather_(weather) {}

    /// Takes the worst day of `times` on to what the day of this hour has so far.
    void add(std::size_t hour, double light_wh_m2, SunTimes& times);

  private:
    const Site& site_;
    const Weather& weather_;
    std::chrono::sys_days day_{};
    bool begun_ = false;
    std::size_t first_hour_ = 0;  ///< of the weather's hours that begin on the day
    double sum_wh_m2_ = 0;
};

}  // namespace noonshell
