// Weather that lies in several NetCDF files as one.
#pragma once

#include <vector>

#include "solar/weather_grid.hpp"

namespace noonshell {

/// Parts of one cell in any order: of each quantity those that follow each other in time, whatever
/// quantities a part has. All quantities are laid on the intervals of the first of them that is a
/// flux, else of the first; instants may lie elsewhere within these. Wind
/// speed and direction come from the components where no part has the speed. Throws InputError,
/// naming the file, for a part with another interval or with a cell more than 1 km from that of the
/// first, one that begins before the one before it ends, more than `longest_fill_h` hours left out
/// between two parts, and a quantity that begins or ends more than that away from the others.
WeatherGrid join_weather_grids(std::vector<WeatherGrid> parts, int longest_fill_h);

}  // namespace noonshell
