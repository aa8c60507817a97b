#include "cli/local_time.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string_view>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using std::chrono::minutes;

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

std::chrono::sys_seconds end_of_step(const Weather& weather, std::size_t step,
                                     std::size_t steps_per_hour) {
    NOONSHELL_CHECK_GT(steps_per_hour, 0u);
    const std::size_t hour = step / steps_per_hour;
    NOONSHELL_CHECK_LT(hour, weather.size());
    const std::size_t step_s = 3600 / steps_per_hour;
    return weather.hour_start_utc[hour] +
           std::chrono::seconds((step % steps_per_hour + 1) * step_s);
}

std::chrono::sys_seconds end_of_period(const Weather& weather) {
    NOONSHELL_CHECK_GT(weather.size(), 0u);
    return weather.hour_start_utc.back() + std::chrono::hours(1);
}

}  // namespace noonshell
