#include "solar/cf_time.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"

namespace noonshell {

namespace {

constexpr double day_s = 86400;

std::string quoted(std::string_view text) {
    std::string shown = "\"";
    for (const char c : text.substr(0, 60))
        shown += c >= ' ' && c < 0x7F ? c : '?';  // attributes are bytes of any kind
    return shown + "\"";
}

InputError bad_units(std::string_view seen) {
    return {{}, "time units such as \"hours since 1970-01-01 00:00:00\"", quoted(seen)};
}

std::optional<double> seconds_of_unit(std::string_view name) {
    struct Unit {
        double seconds;
        std::array<std::string_view, 6> names;
    };
    constexpr std::array<Unit, 4> units{{
        {1, {"seconds", "second", "secs", "sec", "s", "s"}},
        {60, {"minutes", "minute", "mins", "min", "min", "min"}},
        {3600, {"hours", "hour", "hrs", "hr", "h", "h"}},
        {day_s, {"days", "day", "d", "d", "d", "d"}},
    }};
    for (const Unit& unit : units)
        for (const std::string_view known : unit.names)
            if (known == name) return unit.seconds;
    return std::nullopt;
}

std::string_view trimmed(std::string_view text) {
    while (text.starts_with(' ')) text.remove_prefix(1);
    while (text.ends_with(' ') || text.ends_with('\0')) text.remove_suffix(1);
    return text;
}

/// Takes a whole number of at most `digits` digits off the front.
std::optional<int> take_whole(std::string_view& text, std::size_t digits) {
    int value = 0;
    const std::string_view part = text.substr(0, digits);
    const auto [stop, error] = std::from_chars(part.data(), part.data() + part.size(), value);
    if (error != std::errc{} || part[0] == '-') return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(stop - part.data()));
    return value;
}

bool take_char(std::string_view& text, char wanted) {
    if (!text.starts_with(wanted)) return false;
    text.remove_prefix(1);
    return true;
}

struct Date {
    int year, month, day;

    bool is_before(const Date& other) const {
        return std::array{year, month, day} < std::array{other.year, other.month, other.day};
    }
};

std::optional<Date> take_date(std::string_view& text) {
    const auto year = take_whole(text, 4);
    if (!year || !take_char(text, '-')) return std::nullopt;
    const auto month = take_whole(text, 2);
    if (!month || !take_char(text, '-')) return std::nullopt;
    const auto day = take_whole(text, 2);
    if (!day || *month < 1 || *month > 12 || *day < 1 || *day > 31) return std::nullopt;
    return Date{*year, *month, *day};
}

/// Seconds of "hh", "hh:mm" or "hh:mm:ss.s"; nothing is midnight.
std::optional<double> take_time(std::string_view& text) {
    if (text.empty()) return 0.0;
    const auto hour = take_whole(text, 2);
    if (!hour || *hour > 24) return std::nullopt;
    double seconds = 3600.0 * *hour;
    for (const double unit_s : {60.0, 1.0}) {
        if (!take_char(text, ':')) return seconds;
        const auto part = take_whole(text, 2);
        if (!part || *part > 59) return std::nullopt;
        seconds += unit_s * *part;
    }
    if (take_char(text, '.'))
        while (!text.empty() && text[0] >= '0' && text[0] <= '9') text.remove_prefix(1);
    return seconds;
}

/// Seconds that the zone is ahead of UTC: nothing, "Z", "UTC", "+02:00", "-7", "+0530".
std::optional<double> take_zone(std::string_view& text) {
    text = trimmed(text);
    if (text.empty() || text == "Z" || text == "UTC" || text == "GMT") {
        text = {};
        return 0.0;
    }
    const double sign = text[0] == '-' ? -1 : 1;
    if (!take_char(text, '+') && !take_char(text, '-')) return std::nullopt;
    const auto hours = take_whole(text, 2);
    if (!hours || *hours > 14) return std::nullopt;
    take_char(text, ':');
    const auto minutes = text.empty() ? std::optional(0) : take_whole(text, 2);
    if (!minutes || *minutes > 59) return std::nullopt;
    return sign * (3600.0 * *hours + 60.0 * *minutes);
}

/// Days since 1970-01-01 of a date of the Julian calendar, [meeus1998] ch. 7 without its B.
long long julian_calendar_day(Date date) {
    constexpr double day_number_of_1970 = 2440587.5;
    if (date.month <= 2) {
        --date.year;
        date.month += 12;
    }
    const double julian_day = std::floor(365.25 * (date.year + 4716)) +
                              std::floor(30.6001 * (date.month + 1)) + date.day - 1524.5;
    return std::llround(julian_day - day_number_of_1970);
}

long long gregorian_day(const Date& date) {
    using namespace std::chrono;
    const year_month_day whole{year{date.year}, month{static_cast<unsigned>(date.month)},
                               day{static_cast<unsigned>(date.day)}};
    return sys_days{whole}.time_since_epoch().count();
}

}  // namespace

CfTimeAxis::CfTimeAxis(std::string_view units, std::string_view calendar) {
    const std::string_view name = trimmed(calendar);
    if (name.empty() || name == "standard" || name == "gregorian")
        calendar_ = Calendar::standard;
    else if (name == "proleptic_gregorian")
        calendar_ = Calendar::proleptic_gregorian;
    else if (name == "noleap" || name == "365_day")
        calendar_ = Calendar::noleap;
    else
        throw InputError({}, "the calendar standard, proleptic_gregorian or noleap", quoted(name));
    std::string_view text = trimmed(units);
    const std::string_view unit = text.substr(0, text.find(' '));
    const auto seconds = seconds_of_unit(unit);
    text = trimmed(text.substr(unit.size()));
    if (!seconds || !text.starts_with("since ")) throw bad_units(units);
    unit_s_ = *seconds;
    read_reference(trimmed(text.substr(6)), std::string(units));
}

void CfTimeAxis::read_reference(std::string_view text, const std::string& units) {
    constexpr Date first_gregorian{1582, 10, 15};
    const auto date = take_date(text);
    if (!date) throw bad_units(units);
    if (!text.empty() && text[0] != ' ' && text[0] != 'T') throw bad_units(units);
    if (!text.empty()) text.remove_prefix(1);
    text = trimmed(text);
    const auto time = take_time(text);
    const auto zone = time ? take_zone(text) : std::nullopt;
    if (!zone || !text.empty()) throw bad_units(units);
    reference_s_ = *time - *zone;
    if (calendar_ == Calendar::noleap)
        reference_day_ = 365LL * date->year +
                         days_before_month[static_cast<std::size_t>(date->month - 1)] + date->day -
                         1;
    else if (calendar_ == Calendar::standard && date->is_before(first_gregorian))
        reference_day_ = julian_calendar_day(*date);
    else
        reference_day_ = gregorian_day(*date);
}

std::chrono::sys_seconds CfTimeAxis::instant(double value, double shift_s) const {
    using namespace std::chrono;
    constexpr double far_days = 1e6;  // beyond any year here; keeps whole numbers whole
    const double since_s = value * unit_s_ + reference_s_ + shift_s;
    const auto fail = [&]() -> InputError {
        return {{}, "a time from 1950 to 2150", std::to_string(value) + " on its axis"};
    };
    if (!(std::abs(since_s) < far_days * day_s)) throw fail();
    const double whole_s = std::round(since_s);
    const auto days_since = static_cast<long long>(std::floor(whole_s / day_s));
    const auto of_day =
        seconds(static_cast<long long>(whole_s - static_cast<double>(days_since) * day_s));
    const long long day_number = reference_day_ + days_since;
    sys_days date{days(static_cast<int>(day_number))};
    if (calendar_ == Calendar::noleap) {
        const int year_number = static_cast<int>(day_number / 365);
        const int of_year = static_cast<int>(day_number % 365);
        if (day_number < 0) throw fail();
        std::size_t month_number = 1;
        while (days_before_month[month_number] <= of_year) ++month_number;
        date = year{year_number} / month{static_cast<unsigned>(month_number)} /
               day{static_cast<unsigned>(of_year - days_before_month[month_number - 1] + 1)};
    }
    const year_month_day checked{date};
    if (checked.year() < year{1950} || checked.year() > year{2150}) throw fail();
    return date + of_day;
}

}  // namespace noonshell
