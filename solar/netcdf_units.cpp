#include "solar/netcdf_units.hpp"

#include <array>
#include <string>

namespace noonshell {

std::optional<WeatherUnit> netcdf_unit(WeatherMeasure measure, std::string_view text) {
    struct Spelling {
        std::string_view plain, name;
    };
    constexpr std::array<Spelling, 32> spellings{{
        {"Wm-2", "W/m2"},
        {"wattm-2", "W/m2"},
        {"wattsm-2", "W/m2"},
        {"Jm-2", "J/m2"},
        {"joulem-2", "J/m2"},
        {"kJm-2", "kJ/m2"},
        {"MJm-2", "MJ/m2"},
        {"Whm-2", "Wh/m2"},
        {"kWhm-2", "kWh/m2"},
        {"ms-1", "m/s"},
        {"meterssecond-1", "m/s"},
        {"kmh-1", "km/h"},
        {"knot", "knots"},
        {"kt", "knots"},
        {"kelvin", "K"},
        {"degree_Celsius", "degC"},
        {"degrees_Celsius", "degC"},
        {"Celsius", "degC"},
        {"celsius", "degC"},
        {"C", "degC"},
        {"degree_Fahrenheit", "degF"},
        {"millibar", "mbar"},
        {"mb", "mbar"},
        {"pascal", "Pa"},
        {"percent", "%"},
        {"degree", "deg"},
        {"degrees", "deg"},
        {"degree_true", "deg"},
        {"degrees_true", "deg"},
        {"radian", "rad"},
        {"0-1", "1"},
        {"(0-1)", "1"},
    }};
    std::string plain;
    for (const char c : text)
        if (std::string_view(" *^.").find(c) == std::string_view::npos) plain += c;
    for (const Spelling& spelling : spellings)
        if (plain == spelling.plain) plain = spelling.name;
    return weather_unit(measure, plain);
}

}  // namespace noonshell
