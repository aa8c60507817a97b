// The hours of a TMY3 file: twelve months, each of a year of its own, 8760 hours in order.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>
#include <vector>

#include "solar/csv_table.hpp"
#include "solar/tmy3_columns.hpp"

namespace noonshell {

inline constexpr std::size_t hours_per_year = 8760;

/// "03/14 08:00" or "03/14 24:00": the label of hour 0..8759 of a year without 29 February.
std::string hour_label(std::size_t hour_of_year);

/// Takes the rows of a file one by one and makes sure that they are the 8760 hours of a year.
class Tmy3Calendar {
  public:
    Tmy3Calendar(const CsvTable& table, const Tmy3Layout& layout)
        : table_(table), layout_(layout) {}

    /// Start of the hour that ends at the row's label, in local standard time. Midnight may be
    /// written 24:00 of the day that ends, 0:00 of the next day, or 0:00 of the same day after
    /// 23:00. Throws InputError for a label that cannot be read, an hour missing or there twice, 29
    /// February, a year that changes within a month and a row too many.
    std::chrono::local_seconds take(std::size_t row);

    /// Throws InputError unless all 8760 hours have been taken.
    void finish() const;

    /// Row of each hour taken so far.
    const std::vector<std::size_t>& rows() const { return rows_; }

  private:
    std::chrono::local_seconds start_of(std::size_t row) const;
    void require_next(std::size_t row, const std::chrono::year_month_day& date, int hour) const;

    const CsvTable& table_;
    const Tmy3Layout& layout_;
    std::vector<std::size_t> rows_;
    std::chrono::local_seconds previous_start_{};
};

}  // namespace noonshell
