// The hours of a run laid out as days of 24 hours, as the report page shows them.
#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/local_time.hpp"
#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

inline constexpr std::array<std::string_view, 12> month_names = {
    "January", "February", "March",     "April",   "May",      "June",
    "July",    "August",   "September", "October", "November", "December"};

/// Each day of the period by itself, or the mean day of each month of the calendar where there are
/// too many numbers to hand on.
class DayTable {
  public:
    enum class Days { each, mean_of_months };

    /// Means are over those hours of the month that begin at the same time of day.
    DayTable(const Site& site, const Weather& weather, const ToldCalendar& calendar, Days days);

    struct Day {
        std::string date;       ///< "2023-07-21"; of a mean day that of the month's middle
        std::size_t month = 0;  ///< 0..11
    };
    const std::vector<Day>& days() const { return days_; }
    bool of_months() const { return of_months_; }
    /// Hours begin so long after the full hour of the site's clock [min].
    int first_minute() const { return first_minute_; }

    /// [day * 24 + hour of the day]; NaN where the period has no such hour.
    std::vector<float> table(const std::function<double(std::size_t hour)>& value) const;
    /// The same without means: of a mean day the hour of the day nearest to the month's middle.
    std::vector<float> sample(const std::function<double(std::size_t hour)>& value) const;

  private:
    std::vector<Day> days_;
    std::vector<std::size_t> cell_of_hour_;  ///< #hours, into a table
    std::vector<bool> sampled_;              ///< #hours
    bool of_months_;
    int first_minute_ = 0;
};

}  // namespace noonshell
