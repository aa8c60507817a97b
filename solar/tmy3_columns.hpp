// The columns of a TMY3 file that this project reads: names, units, valid ranges.
// Source: [wilcox2008] tables 1-1 to 1-3.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "solar/csv_table.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct Tmy3Column {
    const char* name;          ///< as in the standard, unit in brackets
    double lowest, highest;    ///< what the quantity can be on Earth, in the file's unit
    double to_si = 1;          ///< the file's unit in ours
    bool sunlight = false;     ///< zero at night
    double full_circle = 0;    ///< 360 for a compass direction
    bool optional = false;     ///< the file may lack the column
    bool dispensable = false;  ///< left out where its gaps are too long to fill
    std::vector<double> Weather::*target = nullptr;
};

/// The columns read besides date and time.
inline constexpr std::size_t n_tmy3_columns = 9;
const std::array<Tmy3Column, n_tmy3_columns>& tmy3_columns();

inline constexpr const char* tmy3_date_name = "Date (MM/DD/YYYY)";
inline constexpr const char* tmy3_time_name = "Time (HH:MM)";

/// Where the columns stand in one file, from 0.
struct Tmy3Layout {
    std::size_t date = 0, time = 0;
    std::array<std::optional<std::size_t>, n_tmy3_columns>
        column;                  ///< as tmy3_columns(); none: not in the file
    std::size_t n_fields = 0;    ///< a row must have at least so many
    const char* last_name = "";  ///< of the rightmost column needed
};

/// Finds the columns by name, ignoring case, blanks, "^" and the degree sign. Throws InputError for
/// a column that is missing (naming the nearest seen) or there twice.
Tmy3Layout find_tmy3_columns(const CsvTable& table, std::size_t header_row);

/// Marks for "missing": -9900 in the standard, strings of nines in files of other origin, with
/// either sign. To be asked only where the value is impossible for the quantity.
bool is_missing_mark(double value);

/// The field's value in SI units, NaN where it is empty or a mark for "missing" (9s or -9900 where
/// that is impossible for the quantity). Throws InputError for a non-number and a value out of
/// range.
double tmy3_value(const CsvTable& table, std::size_t row, std::size_t column,
                  const Tmy3Column& spec);

}  // namespace noonshell
