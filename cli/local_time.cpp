#include "cli/local_time.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using std::chrono::minutes;

/// Any year without a leap day, as weather made from normals has it.
constexpr std::chrono::year nominal_year{2023};

minutes offset(double utc_offset_h) {
    return minutes(static_cast<minutes::rep>(std::lround(60 * utc_offset_h)));
}

struct Calendar {
    int year;
    unsigned month, day;
    long hour, minute;
};

Calendar calendar(std::chrono::sys_seconds instant_utc, double utc_offset_h) {
    const std::chrono::sys_seconds local = instant_utc + offset(utc_offset_h);
    const auto day = std::chrono::floor<std::chrono::days>(local);
    const std::chrono::year_month_day date{day};
    const std::chrono::hh_mm_ss time{local - day};
    return {static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
            static_cast<unsigned>(date.day()), time.hours().count(), time.minutes().count()};
}

/// Every hour begins when the one before has ended; a 29 February may be stepped over.
bool follow_each_other(const Weather& weather) {
    constexpr auto hour = std::chrono::hours(1);
    const auto& start = weather.hour_start_utc;
    return std::ranges::adjacent_find(start, [&](auto before, auto after) {
               return after - before != hour && after - before != hour + std::chrono::days(1);
           }) == start.end();
}

}  // namespace

std::string local_time_text(std::chrono::sys_seconds instant_utc, double utc_offset_h) {
    const Calendar at = calendar(instant_utc, utc_offset_h);
    const auto shift = offset(utc_offset_h).count();
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}{}{:02}:{:02}", at.year, at.month, at.day,
                       at.hour, at.minute, shift < 0 ? '-' : '+', std::abs(shift) / 60,
                       std::abs(shift) % 60);
}

std::string short_local_time_text(std::chrono::sys_seconds instant_utc, double utc_offset_h) {
    constexpr std::array<std::string_view, 12> months = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const Calendar at = calendar(instant_utc, utc_offset_h);
    return fmt::format("{:2} {} {:02}:{:02}", at.day, months[at.month - 1], at.hour, at.minute);
}

ToldCalendar::ToldCalendar(const Weather& weather, double utc_offset_h)
    : weather_(&weather), utc_offset_h_(utc_offset_h), n_hours_(weather.size()) {
    NOONSHELL_CHECK_GT(n_hours_, 0u);
    const auto [earliest, latest] =
        std::minmax_element(weather.hour_start_utc.begin(), weather.hour_start_utc.end());
    const int first = calendar(*earliest, utc_offset_h).year;
    const int last = calendar(*latest, utc_offset_h).year;
    if (first == last || follow_each_other(weather)) return;
    NOONSHELL_CHECK_EQ(n_hours_, 8760u);
    month_years_ = {first, last};
}

std::chrono::sys_seconds ToldCalendar::hour_start(std::size_t hour) const {
    NOONSHELL_CHECK_LT(hour, n_hours_);
    if (!month_years_) return weather_->hour_start_utc[hour];
    const std::chrono::sys_days january_1{nominal_year / std::chrono::January / 1};
    return january_1 - offset(utc_offset_h_) + std::chrono::hours(hour);
}

std::chrono::sys_seconds ToldCalendar::end_of_step(std::size_t step,
                                                   std::size_t steps_per_hour) const {
    NOONSHELL_CHECK_GT(steps_per_hour, 0u);
    const std::size_t step_s = 3600 / steps_per_hour;
    return hour_start(step / steps_per_hour) +
           std::chrono::seconds((step % steps_per_hour + 1) * step_s);
}

std::string ToldCalendar::text(std::chrono::sys_seconds instant) const {
    return local_time_text(instant, utc_offset_h_);
}

std::string ToldCalendar::date(std::size_t hour) const {
    return text(hour_start(hour)).substr(0, 10);
}

std::string ToldCalendar::short_text(std::chrono::sys_seconds instant) const {
    return short_local_time_text(instant, utc_offset_h_);
}

}  // namespace noonshell
