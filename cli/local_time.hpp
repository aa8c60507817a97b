// Instants of a run as text in the site's standard time.
#pragma once

#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>

#include "solar/weather.hpp"

namespace noonshell {

/// "2023-07-21T15:15+03:00"
std::string local_time_text(std::chrono::sys_seconds instant_utc, double utc_offset_h);

/// "21 Jul 15:15", for tables.
std::string short_local_time_text(std::chrono::sys_seconds instant_utc, double utc_offset_h);

/// The dates under which the hours of a run are told. A typical year takes each month from a year
/// of its own: told as it is, its end would lie before its start. Such hours are told as those of
/// one nominal year; the computation keeps the years of the file, because the sun follows them.
class ToldCalendar {
  public:
    /// Weather whose hours do not follow each other through different local years is told by the
    /// nominal year; it must be the 8760 hours of a year. Any other is told as it stands.
    ToldCalendar(const Weather& weather, double utc_offset_h);

    /// First and last year that the months were taken from; nothing where dates are real.
    const std::optional<std::pair<int, int>>& month_years() const { return month_years_; }

    std::chrono::sys_seconds hour_start(std::size_t hour) const;
    std::chrono::sys_seconds begin() const { return hour_start(0); }
    std::chrono::sys_seconds end() const {
        return hour_start(n_hours_ - 1) + std::chrono::hours(1);
    }

    /// The instant at which heat step `step` of a run ends; `steps_per_hour` steps to each weather
    /// hour.
    std::chrono::sys_seconds end_of_step(std::size_t step, std::size_t steps_per_hour) const;

    /// local_time_text() and short_local_time_text() by the site's clock.
    std::string text(std::chrono::sys_seconds instant) const;
    std::string short_text(std::chrono::sys_seconds instant) const;

    /// "2023-07-21": the local day in which a weather hour begins.
    std::string date(std::size_t hour) const;

  private:
    const Weather* weather_;
    double utc_offset_h_;
    std::size_t n_hours_;
    std::optional<std::pair<int, int>> month_years_;
};

}  // namespace noonshell
