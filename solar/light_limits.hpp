// Is so much light possible? Finds wrong units, factors and columns.
#pragma once

#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// One warning "weather-light-implausible" that names with its size whatever of this is so, and
/// what it likely comes from; parts that were worked out are not asked.
/// - The period's global light is more than that of a cloudless sky of clean dry air
///   ([ineichen2002] with a Linke turbidity of 1); real air has at least 2.
/// - More than 1 % of the hours with the sun above 20 degrees have global or diffuse light beyond
///   the "extremely rare" limits of [long2002], 1.2 E s^1.2 + 50 and 0.75 E s^1.2 + 30 W/m2, or
///   global light above E s, that of the sun outside the air (s the mean sine of its elevation).
/// - More than 1 % of them have a beam above what clean dry air lets through ([kasten1996]).
/// - Over half a year or more even the clearest twentieth of these hours has a clearness (global
///   over E s) below 0.4: every climate has clear hours, with 0.6 and more.
/// - In the clearest hours, air seems more than 1.8 Linke turbidities thicker with the sun 20 to 30
///   degrees high than with it above 45: the turbidity hardly hangs on the sun's height, but a beam
///   that was taken down to level ground already does (own choice of the limit: such a slip makes
///   3, whatever the air).
std::vector<Warning> check_light_limits(const Site& site, const Weather& weather);

}  // namespace noonshell
