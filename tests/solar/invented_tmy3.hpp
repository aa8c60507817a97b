// A whole TMY3 file made by code for tests. All of its data is invented: no station, no climate.
#pragma once

#include <gtest/gtest.h>

#include <array>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "tests/support/scratch_folder.hpp"

namespace noonshell::testing_tmy3 {

inline constexpr std::array<int, 12> days_in_month{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

/// Rows of fields that a test may change before it writes them. Row 0 is the station, row 1 the
/// column names, row 2 + k hour k of the year; columns are found by the constants below.
struct InventedTmy3 {
    enum Column {
        date,
        time,
        etr,
        ghi,
        ghi_source,
        dni,
        dhi,
        dry,
        dew,
        pressure,
        wdir,
        wspd,
        extra
    };
    std::vector<std::vector<std::string>> rows;
    std::string line_break = "\n";

    InventedTmy3() {
        rows.push_back({"000000", "INVENTED STATION", "XX", "-7", "32.0", "-111.0", "800"});
        rows.push_back({"Date (MM/DD/YYYY)", "Time (HH:MM)", "ETR (W/m^2)", "GHI (W/m^2)",
                        "GHI source", "DNI (W/m^2)", "DHI (W/m^2)", "Dry-bulb (C)", "Dew-point (C)",
                        "Pressure (mbar)", "Wdir (degrees)", "Wspd (m/s)", "Invented (furlongs)"});
        for (int month = 1; month <= 12; ++month)
            for (int day = 1; day <= days_in_month[static_cast<std::size_t>(month - 1)]; ++day)
                for (int hour = 1; hour <= 24; ++hour) add_hour(month, day, hour);
    }

    std::string& at(std::size_t hour, Column column) { return rows[2 + hour][column]; }

    /// Every month comes from a year of its own, as in the standard.
    static int year_of(int month) { return 1990 + (month * 5) % 12; }

    std::string text() const {
        std::string result;
        for (const auto& row : rows) {
            for (std::size_t i = 0; i < row.size(); ++i) result += (i > 0 ? "," : "") + row[i];
            result += line_break;
        }
        return result;
    }

  private:
    void add_hour(int month, int day, int hour) {
        const auto two = [](int n) { return (n < 10 ? "0" : "") + std::to_string(n); };
        const std::size_t k = rows.size() - 2;
        const bool sun = hour >= 10 && hour <= 16;
        rows.push_back({two(month) + "/" + two(day) + "/" + std::to_string(year_of(month)),
                        two(hour) + ":00", "0", sun ? "600" : "0", "1", sun ? "700" : "0",
                        sun ? "100" : "0", std::to_string(10 + static_cast<int>(k % 17)), "2.5",
                        "926", std::to_string(k % 360), "3.1", "x"});
    }
};

/// Writes bytes into the test's temporary folder under a name that no other test uses.
inline std::filesystem::path write_temporary(const std::string& text,
                                             const std::string& suffix = "") {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    std::string name = std::string(test->test_suite_name()) + "_" + test->name() + suffix + ".csv";
    for (char& c : name)
        if (c == '/') c = '_';
    static const test_support::ScratchFolder folder;
    const std::filesystem::path file = folder / name;
    std::ofstream(file, std::ios::binary) << text;
    return file;
}

}  // namespace noonshell::testing_tmy3
