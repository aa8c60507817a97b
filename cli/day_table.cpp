#include "cli/day_table.hpp"

#include <array>
#include <chrono>
#include <cmath>
#include <limits>

#include "solar/site_sun.hpp"

namespace noonshell {

namespace {

constexpr std::size_t hours_of_day = 24, months = 12;
constexpr int middle_of_month = 15;

/// Seconds after local midnight at which a weather hour begins.
std::int64_t second_of_day(const Site& site, const Weather& weather, std::size_t hour) {
    constexpr std::int64_t day_s = 86400;
    const std::int64_t local = weather.hour_start_utc[hour].time_since_epoch().count() +
                               std::llround(site.utc_offset_h * 3600);
    return (local % day_s + day_s) % day_s;
}

}  // namespace

DayTable::DayTable(const Site& site, const Weather& weather, const ToldCalendar& calendar,
                   Days days)
    : of_months_(days == Days::mean_of_months) {
    const std::vector<std::uint8_t> month = month_of_hour(site, weather);
    constexpr std::size_t none = std::numeric_limits<std::size_t>::max();
    std::array<std::size_t, months> day_of_month;
    std::array<int, months> off_middle;
    day_of_month.fill(none);
    off_middle.fill(std::numeric_limits<int>::max());
    std::vector<std::string> dates;
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        dates.push_back(calendar.date(hour));
        const std::string& date = dates.back();
        const std::size_t m = month[hour];
        if (!of_months_ && (days_.empty() || days_.back().date != date)) days_.push_back({date, m});
        if (of_months_ && day_of_month[m] == none) {
            day_of_month[m] = days_.size();
            days_.push_back({date, m});
        }
        const std::size_t day = of_months_ ? day_of_month[m] : days_.size() - 1;
        const int off = std::abs(std::stoi(date.substr(8)) - middle_of_month);
        if (of_months_ && off < off_middle[m]) {
            off_middle[m] = off;
            days_[day].date = date;
        }
        const std::int64_t second = second_of_day(site, weather, hour);
        cell_of_hour_.push_back(day * hours_of_day + static_cast<std::size_t>(second / 3600));
        if (hour == 0) first_minute_ = static_cast<int>(second % 3600 / 60);
    }
    for (std::size_t hour = 0; hour < weather.size(); ++hour)
        sampled_.push_back(days_[cell_of_hour_[hour] / hours_of_day].date == dates[hour]);
}

std::vector<float> DayTable::table(const std::function<double(std::size_t)>& value) const {
    const std::size_t cells = days_.size() * hours_of_day;
    std::vector<double> sums(cells);
    std::vector<std::uint32_t> counts(cells);
    for (std::size_t hour = 0; hour < cell_of_hour_.size(); ++hour) {
        sums[cell_of_hour_[hour]] += value(hour);
        ++counts[cell_of_hour_[hour]];
    }
    std::vector<float> means(cells, std::numeric_limits<float>::quiet_NaN());
    for (std::size_t i = 0; i < cells; ++i) {
        if (counts[i] > 0) means[i] = static_cast<float>(sums[i] / counts[i]);
    }
    return means;
}

std::vector<float> DayTable::sample(const std::function<double(std::size_t)>& value) const {
    std::vector<float> taken(days_.size() * hours_of_day, std::numeric_limits<float>::quiet_NaN());
    for (std::size_t hour = 0; hour < cell_of_hour_.size(); ++hour) {
        if (sampled_[hour]) taken[cell_of_hour_[hour]] = static_cast<float>(value(hour));
    }
    return taken;
}

}  // namespace noonshell
