// Units as NetCDF files write them.
#pragma once

#include <optional>
#include <string_view>

#include "solar/weather_units.hpp"

namespace noonshell {

/// The unit that "W m-2", "W m**-2" or "W/m^2" stands for, by the names of weather_units.hpp;
/// nothing where it is not known or measures something else.
std::optional<WeatherUnit> netcdf_unit(WeatherMeasure measure, std::string_view text);

}  // namespace noonshell
