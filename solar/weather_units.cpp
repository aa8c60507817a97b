#include "solar/weather_units.hpp"

#include <array>

namespace noonshell {

namespace {

constexpr double kelvin_at_0_c = 273.15;
constexpr double j_per_wh = 3600;

// Exact by definition: knot 1852 m/h, mile 1609.344 m, degree Fahrenheit 5/9 K from 32.
constexpr std::array<WeatherUnit, 28> units{{
    {"degC", WeatherMeasure::temperature},
    {"degF", WeatherMeasure::temperature, 5.0 / 9.0, -32 * 5.0 / 9.0},
    {"K", WeatherMeasure::temperature, 1, -kelvin_at_0_c},
    {"W/m2", WeatherMeasure::irradiance},
    {"kW/m2", WeatherMeasure::irradiance, 1000},
    {"J/m2", WeatherMeasure::irradiance, 1, 0, true},
    {"kJ/m2", WeatherMeasure::irradiance, 1000, 0, true},
    {"MJ/m2", WeatherMeasure::irradiance, 1e6, 0, true},
    {"Wh/m2", WeatherMeasure::irradiance, j_per_wh, 0, true},
    {"kWh/m2", WeatherMeasure::irradiance, 1000 * j_per_wh, 0, true},
    {"m/s", WeatherMeasure::speed},
    {"km/h", WeatherMeasure::speed, 1 / 3.6},
    {"knots", WeatherMeasure::speed, 1852.0 / 3600.0},
    {"mph", WeatherMeasure::speed, 1609.344 / 3600.0},
    {"Pa", WeatherMeasure::pressure},
    {"hPa", WeatherMeasure::pressure, 100},
    {"mbar", WeatherMeasure::pressure, 100},
    {"kPa", WeatherMeasure::pressure, 1000},
    {"bar", WeatherMeasure::pressure, 1e5},
    {"mmHg", WeatherMeasure::pressure, 133.322387415},
    {"%", WeatherMeasure::humidity},
    {"1", WeatherMeasure::humidity, 100},
    {"1", WeatherMeasure::cover},
    {"%", WeatherMeasure::cover, 0.01},
    {"tenths", WeatherMeasure::cover, 0.1},
    {"oktas", WeatherMeasure::cover, 0.125},
    {"deg", WeatherMeasure::direction},
    {"rad", WeatherMeasure::direction, 57.29577951308232},
}};

}  // namespace

std::optional<WeatherUnit> weather_unit(WeatherMeasure measure, std::string_view name) {
    for (const WeatherUnit& unit : units)
        if (unit.measure == measure && name == unit.name) return unit;
    return std::nullopt;
}

std::vector<std::string_view> weather_unit_names(WeatherMeasure measure) {
    std::vector<std::string_view> names;
    for (const WeatherUnit& unit : units)
        if (unit.measure == measure) names.emplace_back(unit.name);
    return names;
}

}  // namespace noonshell
