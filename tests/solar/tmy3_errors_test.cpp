// TMY3 files that must be refused, each with line, column, what was expected and what was seen.
// Every file here is invented by code.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>
#include <string>

#include "solar/weather.hpp"
#include "tests/solar/invented_tmy3.hpp"

namespace noonshell {
namespace {

using testing_tmy3::InventedTmy3;
using testing_tmy3::write_temporary;

/// Message without the folder: "file.csv" stands for the file's path.
std::string error_of(const std::string& text) {
    const auto file = write_temporary(text);
    try {
        read_tmy3(file);
    } catch (const InputError& error) {
        std::string message = error.what();
        EXPECT_EQ(message.find('\n'), std::string::npos);
        EXPECT_EQ(message.find(file.string()), 0u) << message;
        return message.replace(0, file.string().size(), "file.csv");
    }
    return "no error";
}

struct Fault {
    const char* name;
    std::function<void(InventedTmy3&)> change;
    const char* message;
};

class Tmy3Fault : public ::testing::TestWithParam<Fault> {};

TEST_P(Tmy3Fault, IsNamedWithItsPlace) {
    InventedTmy3 invented;
    GetParam().change(invented);
    EXPECT_EQ(error_of(invented.text()), GetParam().message);
}

/// Hour 100 of the year is 5 January, 05:00; its line is 103.
INSTANTIATE_TEST_SUITE_P(
    All, Tmy3Fault,
    ::testing::Values(
        Fault{"short_station", [](InventedTmy3& f) { f.rows[0].resize(3); },
              "file.csv:1:3: station line: expected station, name, state, time zone, latitude, "
              "longitude, elevation, saw 3 fields: \"000000\""},
        Fault{"zone", [](InventedTmy3& f) { f.rows[0][3] = "MST"; },
              "file.csv:1:4: time zone [h]: expected a number from -12 to 14, saw \"MST\""},
        Fault{"latitude", [](InventedTmy3& f) { f.rows[0][4] = "132"; },
              "file.csv:1:5: latitude [deg]: expected a number from -90 to 90, saw \"132\""},
        Fault{"longitude", [](InventedTmy3& f) { f.rows[0][5] = ""; },
              "file.csv:1:6: longitude [deg]: expected a number from -180 to 180, saw nothing"},
        Fault{"no_column", [](InventedTmy3& f) { f.rows[1][InventedTmy3::dni] = "DNl (W/m^2)"; },
              "file.csv:2: DNI (W/m^2): expected a column of this name, saw none; the nearest is "
              "\"DNl (W/m^2)\" in column 6"},
        Fault{"other_unit", [](InventedTmy3& f) { f.rows[1][InventedTmy3::dry] = "Dry-bulb (F)"; },
              "file.csv:2: Dry-bulb (C): expected a column of this name, saw none; the nearest is "
              "\"Dry-bulb (F)\" in column 8"},
        Fault{"two_columns",
              [](InventedTmy3& f) { f.rows[1][InventedTmy3::extra] = "ghi (w/m^2)"; },
              "file.csv:2:13: GHI (W/m^2): expected one column of this name, saw a second one; the "
              "first is column 4"},
        Fault{"no_number", [](InventedTmy3& f) { f.at(100, f.dry) = "12,4C"; },
              // the comma makes two fields of it, and the first is a number
              "file.csv:103:9: Dew-point (C): expected a number, saw \"4C\""},
        Fault{"nan", [](InventedTmy3& f) { f.at(100, f.ghi) = "NaN"; },
              "file.csv:103:4: GHI (W/m^2): expected a number, saw \"NaN\""},
        Fault{"dry_bulb", [](InventedTmy3& f) { f.at(100, f.dry) = "98.6"; },
              "file.csv:103:8: Dry-bulb (C): expected -90 to 65, saw 98.6"},
        Fault{"direct", [](InventedTmy3& f) { f.at(100, f.dni) = "1501"; },
              "file.csv:103:6: DNI (W/m^2): expected 0 to 1500, saw 1501"},
        Fault{"negative", [](InventedTmy3& f) { f.at(100, f.ghi) = "-12"; },
              "file.csv:103:4: GHI (W/m^2): expected 0 to 1500, saw -12"},
        Fault{"pascals", [](InventedTmy3& f) { f.at(100, f.pressure) = "92600"; },
              "file.csv:103:10: Pressure (mbar): expected 300 to 1100, saw 92600"},
        Fault{
            "date", [](InventedTmy3& f) { f.at(100, f.date) = "5 Jan 1995"; },
            "file.csv:103:1: Date (MM/DD/YYYY): expected a date as 7/21/1988 in 1950 to 2150, saw "
            "\"5 Jan 1995\""},
        Fault{
            "two_digit_year", [](InventedTmy3& f) { f.at(100, f.date) = "1/5/95"; },
            "file.csv:103:1: Date (MM/DD/YYYY): expected a date as 7/21/1988 in 1950 to 2150, saw "
            "\"1/5/95\""},
        Fault{"no_such_day", [](InventedTmy3& f) { f.at(100, f.date) = "13/5/1995"; },
              "file.csv:103:1: Date (MM/DD/YYYY): expected a date that exists, saw \"13/5/1995\""},
        Fault{"half_hour", [](InventedTmy3& f) { f.at(100, f.time) = "05:30"; },
              "file.csv:103:2: Time (HH:MM): expected a whole hour from 01:00 to 24:00, saw "
              "\"05:30\""},
        Fault{"hour_25", [](InventedTmy3& f) { f.at(100, f.time) = "25:00"; },
              "file.csv:103:2: Time (HH:MM): expected a whole hour from 01:00 to 24:00, saw "
              "\"25:00\""},
        Fault{"missing_hour", [](InventedTmy3& f) { f.rows.erase(f.rows.begin() + 102); },
              "file.csv:103:2: Time (HH:MM): expected the hour ending 01/05 05:00, saw 01/05/1995 "
              "06:00: 1 hour is missing"},
        Fault{"missing_day",
              [](InventedTmy3& f) { f.rows.erase(f.rows.begin() + 98, f.rows.begin() + 122); },
              "file.csv:99:2: Time (HH:MM): expected the hour ending 01/05 01:00, saw 01/06/1995 "
              "01:00: 24 hours are missing"},
        Fault{"twice", [](InventedTmy3& f) { f.rows.insert(f.rows.begin() + 102, f.rows[101]); },
              "file.csv:103:2: Time (HH:MM): expected the hour ending 01/05 05:00, saw 01/05/1995 "
              "04:00, which stands on line 102 already"},
        Fault{"other_year", [](InventedTmy3& f) { f.at(100, f.date) = "01/05/1996"; },
              "file.csv:103:1: Date (MM/DD/YYYY): expected one year within a month, here 1995, saw "
              "01/05/1996 05:00"},
        Fault{"hours_from_0", [](InventedTmy3& f) { f.at(0, f.time) = "00:00"; },
              "file.csv:3:2: Time (HH:MM): expected the hour ending 01/01 01:00, saw 01/01/1995 "
              "00:00"},
        Fault{"leap_day", [](InventedTmy3& f) { f.at(59 * 24, f.date) = "02/29/1988"; },
              "file.csv:1419:1: Date (MM/DD/YYYY): expected a year of 8760 hours, without 29 "
              "February, saw \"02/29/1988\""},
        Fault{"one_row_more", [](InventedTmy3& f) { f.rows.push_back(f.rows[2]); },
              "file.csv:8763:2: Time (HH:MM): expected the end of the file after 8760 hours, saw "
              "01/01/1995 01:00, which stands on line 3 already"},
        Fault{"one_row_less", [](InventedTmy3& f) { f.rows.pop_back(); },
              "file.csv:8761: expected 8760 hours, saw 8759; the file ends after the hour ending "
              "12/31 23:00"},
        Fault{"no_rows", [](InventedTmy3& f) { f.rows.resize(2); },
              "file.csv:2: expected 8760 hours, saw none"},
        Fault{"no_header", [](InventedTmy3& f) { f.rows.resize(1); },
              "file.csv: expected a line of column names, saw the end of the file"},
        Fault{"row_cut", [](InventedTmy3& f) { f.rows[102].resize(9); },
              "file.csv:103:9: Wspd (m/s): expected at least 12 fields, saw a line cut short after "
              "9"},
        Fault{"long_gap",
              [](InventedTmy3& f) {
                  for (std::size_t h = 100; h < 107; ++h) f.at(h, f.dry) = "-9900";
              },
              "file.csv:103:8: Dry-bulb (C): expected gaps of at most 6 h (longest_fill_h), saw 7 "
              "missing hours from "
              "the one ending 01/05 05:00 on"},
        Fault{"nothing_measured",
              [](InventedTmy3& f) {
                  for (std::size_t h = 0; h < 8760; ++h) f.at(h, f.dhi) = "-9900";
              },
              "file.csv:3:7: DHI (W/m^2): expected gaps of at most 6 h (longest_fill_h), saw 8760 "
              "missing hours from "
              "the one ending 01/01 01:00 on"}),
    [](const auto& test) { return std::string(test.param.name); });

TEST(Tmy3, SaysWhatFieldsAreSeparatedBy) {
    InventedTmy3 invented;
    std::string text = invented.text();
    const auto second = text.find('\n') + 1;
    for (std::size_t i = second; i < text.size(); ++i)
        if (text[i] == ',') text[i] = ';';
    EXPECT_EQ(error_of(text).substr(0, 88),
              "file.csv:2: Date (MM/DD/YYYY): expected column names separated by commas, saw "
              "\"Date (MM/");
}

TEST(Tmy3, RefusesWhatIsNoText) {
    EXPECT_EQ(error_of(""), "file.csv: expected comma-separated text, saw an empty file");
    EXPECT_EQ(error_of(std::string("a\0b", 3)),
              "file.csv: expected comma-separated text, saw a binary file (byte 0 at offset 1)");
}

// Wherever a file is cut, it is refused: the last field needed is not the last of the row.
TEST(Tmy3, RefusesAFileCutAnywhere) {
    const std::string whole = InventedTmy3().text();
    std::mt19937 random(7);
    std::uniform_int_distribution<std::size_t> anywhere(1, whole.size() - 8);
    for (int i = 0; i < 60; ++i) {
        const std::size_t length = anywhere(random);
        EXPECT_NE(error_of(whole.substr(0, length)), "no error") << length;
    }
}

// One byte changed: an error in one line or a whole, finite year, never anything else.
TEST(Tmy3, SurvivesAnyByteChanged) {
    const std::string whole = InventedTmy3().text();
    std::mt19937 random(11);
    std::uniform_int_distribution<std::size_t> anywhere(0, whole.size() - 1);
    std::uniform_int_distribution<std::size_t> head(0, 400);
    std::uniform_int_distribution<int> byte(0, 255);
    for (int i = 0; i < 150; ++i) {
        std::string text = whole;
        text[i % 2 == 0 ? head(random) : anywhere(random)] = static_cast<char>(byte(random));
        const auto file = write_temporary(text);
        try {
            const Weather weather = read_tmy3(file).weather;
            ASSERT_EQ(weather.size(), 8760u);
            for (std::size_t h = 0; h < weather.size(); ++h)
                ASSERT_TRUE(std::isfinite(weather.dry_bulb_c[h] + weather.global_w_m2[h]));
        } catch (const InputError& error) {
            EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos);
        }
    }
}

}  // namespace
}  // namespace noonshell
