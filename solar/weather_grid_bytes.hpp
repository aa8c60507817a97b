// A weather grid, or the error in place of it, as bytes, to pass it from one process to another on
// one machine.
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "solar/weather_grid.hpp"

namespace noonshell {

/// What `read` returns, or the InputError or other exception that it throws, as bytes.
std::string grid_or_error_as_bytes(const std::function<WeatherGrid()>& read);

/// The grid again, or the same InputError thrown; of other exceptions a std::runtime_error with
/// their text. Throws InvariantError for bytes that are cut short.
WeatherGrid grid_or_error_from_bytes(std::string_view bytes);

}  // namespace noonshell
