// Weather in a table of text whose columns and units the user names.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "solar/time_layout.hpp"
#include "solar/weather_samples.hpp"
#include "solar/weather_units.hpp"

namespace noonshell {

/// A column by its name in the heading line, or by its number from 1 where `number` is set.
struct TableColumn {
    std::string name;
    std::size_t number = 0;
};

struct QuantityColumn {
    WeatherQuantity quantity;
    TableColumn column;
    WeatherUnit unit;
};

/// How to read one table.
struct WeatherTableFormat {
    std::vector<TableColumn> time_columns;  ///< joined by blanks before the layout is applied
    TimeLayout time_layout{"YYYY-MM-DD hh:mm"};
    double utc_offset_h = 0;          ///< of the stamps' clock, where they carry none themselves
    int year = 2023;                  ///< of stamps without one
    std::optional<StampAt> stamp;     ///< at the end unless set, or in the middle where
                                      ///< stand_at_half_hours()
    std::optional<int> interval_min;  ///< divides the hour, or 120 or 180; found from the stamps
                                      ///< unless set
    bool means = true;  ///< states and wind are means of the interval, not readings at
                        ///< the stamp
    std::vector<QuantityColumn> quantities;
    std::optional<char> separator;       ///< likely_separator() unless set
    std::optional<char> decimal;         ///< '.' or ','; found unless set
    std::vector<std::string> missing{};  ///< marks of missing values, besides empty, NaN, NA and
                                         ///< impossible nines
};

/// Reads the intervals of a table. The heading is the first line that holds all the names (letter
/// case aside), or whatever stands before the first time stamp where all columns go by number; one
/// line of units may follow it. Columns that are not named are passed over. A decimal comma is
/// found where fields hold commas and no points. Stamps must come in order; one that is left out is
/// a gap. Throws InputError with line and column for a name that is not there or there twice, a
/// stamp or number that cannot be read, a value that the quantity cannot have, a line cut short, an
/// interval that neither divides the hour nor is 2 or 3 hours, and gaps as SampleClock does.
WeatherSamples read_weather_table(const std::filesystem::path& file,
                                  const WeatherTableFormat& format, int longest_fill_h = 6);

/// The same from text; `name` stands for the file in messages.
WeatherSamples parse_weather_table(std::string_view text, const std::string& name,
                                   const WeatherTableFormat& format, int longest_fill_h = 6);

}  // namespace noonshell
