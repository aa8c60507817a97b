#include "solar/tmy3_calendar.hpp"

#include <array>
#include <charconv>
#include <cstdio>
#include <optional>

#include "solar/common_year.hpp"
#include "solar/sun_position.hpp"

namespace noonshell {

namespace {

using std::chrono::floor;
using std::chrono::hours;
using std::chrono::local_days;
using std::chrono::local_seconds;
using std::chrono::year_month_day;

std::size_t hour_of_year(const year_month_day& date, int hour) {
    const auto month = static_cast<unsigned>(date.month());
    const auto day = static_cast<unsigned>(date.day());
    return (static_cast<std::size_t>(days_before_month[month - 1]) + day - 1) * 24 +
           static_cast<std::size_t>(hour);
}

/// Two or three whole numbers of at most four digits, with `separator` between them.
std::optional<std::array<int, 3>> parse_parts(std::string_view text, char separator,
                                              std::size_t fewest) {
    std::array<int, 3> parts{};
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const auto cut = text.find(separator);
        const std::string_view part = text.substr(0, cut);
        if (part.empty() || part.size() > 4 || part[0] == '-') return std::nullopt;
        const char* const end = part.data() + part.size();
        const auto [stop, error] = std::from_chars(part.data(), end, parts[i]);
        if (error != std::errc{} || stop != end) return std::nullopt;
        if (cut == std::string_view::npos)
            return i + 1 >= fewest ? std::optional(parts) : std::nullopt;
        text.remove_prefix(cut + 1);
    }
    return std::nullopt;
}

/// M/D/YYYY as in the standard, or YYYY-MM-DD as some spreadsheets save it; the day may not exist.
std::optional<year_month_day> parse_date(std::string_view text) {
    const auto make = [](int y, int m, int d) -> std::optional<year_month_day> {
        if (y < first_sun_year || y > last_sun_year) return std::nullopt;
        return year_month_day{std::chrono::year{y}, std::chrono::month{static_cast<unsigned>(m)},
                              std::chrono::day{static_cast<unsigned>(d)}};
    };
    if (const auto us = parse_parts(text, '/', 3)) return make((*us)[2], (*us)[0], (*us)[1]);
    if (const auto iso = parse_parts(text, '-', 3)) return make((*iso)[0], (*iso)[1], (*iso)[2]);
    return std::nullopt;
}

/// Whole hours 0..24 of H:MM or H:MM:SS.
std::optional<int> parse_time(std::string_view text) {
    const auto parts = parse_parts(text, ':', 2);
    if (!parts || (*parts)[0] > 24 || (*parts)[1] != 0 || (*parts)[2] != 0) return std::nullopt;
    return (*parts)[0];
}

}  // namespace

std::string hour_label(std::size_t hour_of_year) {
    const int day_of_year = static_cast<int>(hour_of_year / 24 % 365);
    std::size_t month = 1;
    while (days_before_month[month] <= day_of_year) ++month;
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%02d/%02d %02d:00", static_cast<int>(month),
                  day_of_year - days_before_month[month - 1] + 1,
                  static_cast<int>(hour_of_year % 24) + 1);
    return text.data();
}

local_seconds Tmy3Calendar::start_of(std::size_t row) const {
    const std::string_view date_text = table_.row(row)[layout_.date];
    const std::string_view time_text = table_.row(row)[layout_.time];
    const auto date = parse_date(date_text);
    if (!date)
        throw InputError(table_.place(row, layout_.date, tmy3_date_name),
                         "a date as 7/21/1988 in " + std::to_string(first_sun_year) + " to " +
                             std::to_string(last_sun_year),
                         shown_field(date_text));
    if (!date->ok())
        throw InputError(table_.place(row, layout_.date, tmy3_date_name), "a date that exists",
                         shown_field(date_text));
    const auto hour = parse_time(time_text);
    if (!hour)
        throw InputError(table_.place(row, layout_.time, tmy3_time_name),
                         "a whole hour from 01:00 to 24:00", shown_field(time_text));
    const local_seconds day = local_days(*date);
    if (*hour > 0) return day + hours(*hour - 1);
    const bool after_23 = !rows_.empty() && previous_start_ == day + hours(22);
    return after_23 ? day + hours(23) : day - hours(1);
}

void Tmy3Calendar::require_next(std::size_t row, const year_month_day& date, int hour) const {
    const std::size_t next = rows_.size();
    const auto place = table_.place(row, layout_.time, tmy3_time_name);
    const std::string seen = std::string(table_.row(row)[layout_.date]) + " " +
                             std::string(table_.row(row)[layout_.time]);
    const std::size_t index = hour_of_year(date, hour);
    if (index < next)
        throw InputError(place,
                         next == hours_per_year ? "the end of the file after 8760 hours"
                                                : "the hour ending " + hour_label(next),
                         seen + ", which stands on line " +
                             std::to_string(table_.line(rows_[index])) + " already");
    if (index > next) {
        const std::size_t n = index - next;
        const std::string missing =
            next == 0
                ? ""
                : ": " + std::to_string(n) + (n == 1 ? " hour is" : " hours are") + " missing";
        throw InputError(place, "the hour ending " + hour_label(next), seen + missing);
    }
    const year_month_day before{floor<std::chrono::days>(previous_start_)};
    if (next > 0 && before.month() == date.month() && before.year() != date.year())
        throw InputError(
            table_.place(row, layout_.date, tmy3_date_name),
            "one year within a month, here " + std::to_string(static_cast<int>(before.year())),
            seen);
}

local_seconds Tmy3Calendar::take(std::size_t row) {
    const local_seconds start = start_of(row);
    const local_days day = floor<std::chrono::days>(start);
    const year_month_day date{day};
    if (date.month() == std::chrono::February && date.day() == std::chrono::day{29})
        throw InputError(table_.place(row, layout_.date, tmy3_date_name),
                         "a year of 8760 hours, without 29 February",
                         shown_field(table_.row(row)[layout_.date]));
    require_next(row, date,
                 static_cast<int>(std::chrono::duration_cast<hours>(start - day).count()));
    rows_.push_back(row);
    previous_start_ = start;
    return start;
}

void Tmy3Calendar::finish() const {
    const std::size_t n = rows_.size();
    if (n == hours_per_year) return;
    InputPlace place{.file = table_.name(), .line = {}, .column = {}, .entity = {}};
    if (table_.n_rows() > 0) place.line = table_.line(n > 0 ? rows_.back() : table_.n_rows() - 1);
    throw InputError(
        place, "8760 hours",
        n == 0 ? "none"
               : std::to_string(n) + "; the file ends after the hour ending " + hour_label(n - 1));
}

}  // namespace noonshell
