// Units in which weather files may state their quantities.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonshell {

/// What a quantity measures; each has units of its own.
enum class WeatherMeasure { temperature, irradiance, speed, pressure, humidity, direction, cover };

/// One unit: value in SI = value * scale + offset, divided by the seconds of the interval where
/// the unit is one of energy per interval.
struct WeatherUnit {
    const char* name;
    WeatherMeasure measure;
    double scale = 1, offset = 0;
    bool per_interval = false;

    double to_si(double value, double interval_s) const {
        return (value * scale + offset) / (per_interval ? interval_s : 1);
    }
};

/// The unit of that name and measure, letter for letter; nothing when there is none. SI here: degC,
/// W/m2, m/s, Pa, %, deg, share of the sky.
std::optional<WeatherUnit> weather_unit(WeatherMeasure measure, std::string_view name);

/// The names for one measure, for messages and checks.
std::vector<std::string_view> weather_unit_names(WeatherMeasure measure);

}  // namespace noonshell
