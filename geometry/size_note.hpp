// Private to geometry/: is the model's size that of a building, and if not, which wrong length unit
// would explain it?
#pragma once

#include <string>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// Lengths that a model of one unit up to a large site may have; a unit that brings the size into
/// this range explains it.
inline constexpr double least_likely_size_m = 2.0;
inline constexpr double largest_likely_size_m = 500.0;

/// Units under which the file's own numbers would make a model of a likely size, the likeliest
/// first: metre, millimetre, centimetre and inch before the foot, and of those the nearest to the
/// geometric middle of the range. `declared_m` is the length of the
/// unit that the file declares [m].
std::vector<std::string> likelier_units(double size_m, double declared_m);

/// Appends "model-size" where the whole model is below 1 m or above 5 km, naming the likely cause,
/// or where it or a body of it is a freight container but for the factor between inch and
/// millimetre, and "far-from-origin". `unit_lengths_m` are the lengths of the units that the file
/// declares.
void warn_of_odd_size(Model& model, const std::vector<double>& unit_lengths_m);

}  // namespace noonshell
