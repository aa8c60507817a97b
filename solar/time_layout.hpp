// Time stamps in text by a stated layout.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonshell {

/// A layout such as "YYYY-MM-DD hh:mm". Letters: YYYY year, MM month, DD day, DDD day of the year,
/// hh hour (0 to 24), mm minute, ss second (a fraction behind it is dropped), AM the half of a
/// 12-hour day (AM or PM), Z an offset from UTC (Z, +02:00, +0200, -7), ? any one character; all
/// else stands for itself, a blank for any number of blanks. A number may have fewer digits than
/// letters unless another one follows at once. Single letters (M/D/YYYY h:mm) mean the same.
class TimeLayout {
  public:
    /// Throws InputError (without a place) for a layout that names no hour, not month and day or
    /// day of the year, or a part twice.
    explicit TimeLayout(std::string text);

    struct Stamp {
        std::chrono::local_seconds local;
        std::optional<std::chrono::minutes> utc_offset;  ///< where the layout has one
    };

    /// The stamp, or nothing where the text does not follow the layout, the date does not exist or
    /// the year is not one from 1950 to 2150. `year` is taken where the layout has none.
    std::optional<Stamp> read(std::string_view text, int year) const;

    const std::string& text() const { return text_; }

  private:
    enum class Part {
        year,
        month,
        day,
        day_of_year,
        hour,
        minute,
        second,
        half_day,
        offset,
        any,
        literal
    };
    struct Token {
        Part part;
        int digits = 0;  ///< most digits of a number
        char literal = 0;
        bool exact = false;  ///< a number follows at once
    };
    struct Parts;

    void require_once_and_enough() const;
    static std::optional<int> take_number(std::string_view& text, const Token& token);
    static bool take(std::string_view& text, const Token& token, Parts& parts);

    std::string text_;
    std::vector<Token> tokens_;
};

}  // namespace noonshell
