#include "solar/time_layout.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "solar/csv_table.hpp"
#include "solar/sun_position.hpp"

namespace noonshell {

namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

InputError bad_layout(std::string expected, const std::string& text) {
    return {{}, std::move(expected), shown_field(text)};
}

/// "Z", "+02:00", "+0200", "+02", "-7": minutes east of Greenwich.
std::optional<std::chrono::minutes> take_offset(std::string_view& text) {
    if (text.starts_with('Z') || text.starts_with('z')) {
        text.remove_prefix(1);
        return std::chrono::minutes(0);
    }
    if (text.empty() || (text[0] != '+' && text[0] != '-')) return std::nullopt;
    const int sign = text[0] == '-' ? -1 : 1;
    text.remove_prefix(1);
    const auto two_digits = [&text]() -> std::optional<int> {
        std::size_t n = 0;
        int value = 0;
        for (; n < 2 && n < text.size() && is_digit(text[n]); ++n)
            value = 10 * value + text[n] - '0';
        text.remove_prefix(n);
        return n > 0 ? std::optional(value) : std::nullopt;
    };
    const auto hours = two_digits();
    if (!hours) return std::nullopt;
    const bool colon = text.starts_with(':');
    if (colon) text.remove_prefix(1);
    const auto minutes = two_digits();
    if ((colon && !minutes) || *hours > 14 || minutes.value_or(0) > 59) return std::nullopt;
    return std::chrono::minutes(sign * (60 * *hours + minutes.value_or(0)));
}

}  // namespace

struct TimeLayout::Parts {
    std::optional<int> year, month, day, day_of_year, hour, minute, second;
    std::optional<bool> afternoon;
    std::optional<std::chrono::minutes> offset;

    std::optional<int>* number(Part part) {
        switch (part) {
            case Part::year:
                return &year;
            case Part::month:
                return &month;
            case Part::day:
                return &day;
            case Part::day_of_year:
                return &day_of_year;
            case Part::hour:
                return &hour;
            case Part::minute:
                return &minute;
            case Part::second:
                return &second;
            default:
                return nullptr;
        }
    }

    std::optional<std::chrono::local_days> date() const {
        using namespace std::chrono;
        if (!year || *year < first_sun_year || *year > last_sun_year) return std::nullopt;
        const std::chrono::year y{*year};
        if (day_of_year) {
            if (*day_of_year < 1 || *day_of_year > (y.is_leap() ? 366 : 365)) return std::nullopt;
            return local_days{y / January / 1} + days(*day_of_year - 1);
        }
        const year_month_day whole{y, std::chrono::month{static_cast<unsigned>(*month)},
                                   std::chrono::day{static_cast<unsigned>(*day)}};
        return whole.ok() ? std::optional(local_days{whole}) : std::nullopt;
    }

    std::optional<std::chrono::seconds> time_of_day() const {
        int h = *hour;
        if (afternoon) {
            if (h < 1 || h > 12) return std::nullopt;
            h = h % 12 + (*afternoon ? 12 : 0);
        }
        const int m = minute.value_or(0), s = second.value_or(0);
        if (h > 24 || m > 59 || s > 59 || (h == 24 && m + s > 0)) return std::nullopt;
        return std::chrono::seconds(3600 * h + 60 * m + s);
    }
};

TimeLayout::TimeLayout(std::string text) : text_(std::move(text)) {
    constexpr std::string_view letters = "YMDhms";
    constexpr std::array<Part, 6> parts{Part::year, Part::month,  Part::day,
                                        Part::hour, Part::minute, Part::second};
    for (std::size_t i = 0; i < text_.size();) {
        const std::string_view rest = std::string_view(text_).substr(i);
        const std::size_t letter = letters.find(text_[i]);
        if (rest.starts_with("AM")) {
            tokens_.push_back({.part = Part::half_day});
            i += 2;
        } else if (letter != std::string_view::npos) {
            const std::size_t run = std::min(rest.find_first_not_of(text_[i]), rest.size());
            Token token{.part = parts[letter], .digits = static_cast<int>(run)};
            const std::size_t most = text_[i] == 'Y' ? 4 : text_[i] == 'D' ? 3 : 2;
            if (run > most || (text_[i] == 'Y' && run != 4))
                throw bad_layout("a time layout such as YYYY-MM-DD hh:mm", text_);
            if (token.part == Part::day && run == 3) token.part = Part::day_of_year;
            if (run == 1) token.digits = 2;
            if (!tokens_.empty() && tokens_.back().digits > 0) tokens_.back().exact = true;
            tokens_.push_back(token);
            i += run;
        } else {
            const Part part = text_[i] == 'Z'   ? Part::offset
                              : text_[i] == '?' ? Part::any
                                                : Part::literal;
            tokens_.push_back({.part = part, .literal = text_[i]});
            ++i;
        }
    }
    require_once_and_enough();
}

void TimeLayout::require_once_and_enough() const {
    const auto count = [this](Part part) {
        return std::ranges::count_if(tokens_, [part](const Token& t) { return t.part == part; });
    };
    for (const Part part : {Part::year, Part::month, Part::day, Part::day_of_year, Part::hour,
                            Part::minute, Part::second, Part::half_day, Part::offset})
        if (count(part) > 1) throw bad_layout("a time layout with each part once", text_);
    if (count(Part::hour) == 0) throw bad_layout("a time layout with the hour (hh)", text_);
    const bool date = count(Part::month) == 1 && count(Part::day) == 1;
    if (date == (count(Part::day_of_year) == 1))
        throw bad_layout("a time layout with month and day (MM, DD) or the day of the year (DDD)",
                         text_);
}

std::optional<int> TimeLayout::take_number(std::string_view& text, const Token& token) {
    const auto most = static_cast<std::size_t>(token.digits);
    std::size_t n = 0;
    int value = 0;
    for (; n < most && n < text.size() && is_digit(text[n]); ++n)
        value = 10 * value + text[n] - '0';
    const bool whole = n == most || (n > 0 && !token.exact && token.part != Part::year);
    text.remove_prefix(n);
    return whole ? std::optional(value) : std::nullopt;
}

bool TimeLayout::take(std::string_view& text, const Token& token, Parts& parts) {
    if (std::optional<int>* number = parts.number(token.part)) {
        *number = take_number(text, token);
        if (token.part == Part::second && text.size() > 1 && text[0] == '.' && is_digit(text[1]))
            text.remove_prefix(std::min(text.find_first_not_of("0123456789", 1), text.size()));
        return number->has_value();
    }
    if (token.part == Part::offset) return (parts.offset = take_offset(text)).has_value();
    if (text.empty()) return false;
    if (token.part == Part::half_day) {
        const char first = text[0];
        if (text.size() < 2 || (text[1] != 'M' && text[1] != 'm')) return false;
        parts.afternoon = first == 'P' || first == 'p';
        if (!*parts.afternoon && first != 'A' && first != 'a') return false;
        text.remove_prefix(2);
        return true;
    }
    if (token.part == Part::literal && text[0] != token.literal) return false;
    text.remove_prefix(1);
    if (token.part == Part::literal && token.literal == ' ')
        text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
    return true;
}

std::optional<TimeLayout::Stamp> TimeLayout::read(std::string_view text, int year) const {
    Parts parts;
    for (const Token& token : tokens_)
        if (!take(text, token, parts)) return std::nullopt;
    if (!text.empty()) return std::nullopt;
    if (!parts.year) parts.year = year;
    const auto date = parts.date();
    const auto time = parts.time_of_day();
    if (!date || !time) return std::nullopt;
    return Stamp{*date + *time, parts.offset};
}

}  // namespace noonshell
