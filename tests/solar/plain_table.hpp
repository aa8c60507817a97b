// Weather tables of a few plain columns for tests: 48 hours, lines that tests may change.
#pragma once

#include <chrono>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/time_layout.hpp"
#include "solar/weather_table.hpp"
#include "tests/solar/desert_site.hpp"

namespace noonshell::testing_table {

using Quantity = WeatherQuantity;

inline QuantityColumn column(Quantity quantity, const std::string& name, const char* unit) {
    return {quantity, {name, 0}, *weather_unit(info(quantity).measure, unit)};
}

/// time,T,RH,v,DNI,DHI in plain units, stamps at the end of hours.
inline WeatherTableFormat plain_format() {
    WeatherTableFormat format;
    format.time_columns = {{"time", 0}};
    format.utc_offset_h = 2;
    format.means = false;
    format.quantities = {
        column(Quantity::dry_bulb, "T", "degC"), column(Quantity::relative_humidity, "RH", "%"),
        column(Quantity::wind_speed, "v", "m/s"), column(Quantity::direct_normal, "DNI", "W/m2"),
        column(Quantity::diffuse, "DHI", "W/m2")};
    return format;
}

inline std::string stamp(int step, int step_min, const std::string& day = "2023-07-21 00:00") {
    const auto base = TimeLayout("YYYY-MM-DD hh:mm").read(day, 2023)->local;
    return clock_text(
        std::chrono::sys_seconds{base.time_since_epoch()} + std::chrono::minutes(step * step_min),
        std::chrono::seconds(0));
}

/// 48 hours from 21 July: T = hour / 2, light from the 8th to the 17th hour of each day.
inline std::vector<std::string> plain_lines() {
    std::vector<std::string> lines{"time,T,RH,v,DNI,DHI"};
    for (int hour = 1; hour <= 48; ++hour) {
        const bool sun = hour % 24 >= 8 && hour % 24 <= 17;
        lines.push_back(stamp(hour, 60) + "," + std::to_string(hour / 2.0) + ",40,3," +
                        (sun ? "700,90" : "0,0"));
    }
    return lines;
}

inline std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}

inline WeatherSamples parse(const std::string& text,
                            const WeatherTableFormat& format = plain_format()) {
    return parse_weather_table(text, "met.csv", format);
}

inline Weather read(const std::string& text, const WeatherTableFormat& format = plain_format()) {
    return hourly_weather(test::desert(), parse(text, format));
}

inline std::string error_of(const std::string& text,
                            const WeatherTableFormat& format = plain_format()) {
    try {
        read(text, format);
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

}  // namespace noonshell::testing_table
