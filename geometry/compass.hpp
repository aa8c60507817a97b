// Compass directions in model axes: azimuth in degrees clockwise from true north; `north_deg` is
// the compass azimuth of the model's +Y axis.
#pragma once

#include <string_view>

#include "geometry/vec3.hpp"

namespace noonshell {

/// Unit vector of a compass azimuth and an elevation above the horizon.
Vec3 direction_in_model_axes(double azimuth_deg, double elevation_deg, double north_deg);

/// Compass azimuth of a direction in model axes, in [0, 360), to 1e-6 degrees so that names do not
/// hang on the last bit; 0 for vertical directions.
double compass_azimuth_deg(const Vec3& direction, double north_deg);

/// "n", "ne", "e", "se", "s", "sw", "w" or "nw"; each point owns the 45 degrees around it, the
/// lower bound (22.5, 67.5...) included. `azimuth_deg` in [0, 360).
std::string_view compass_point(double azimuth_deg);

/// The same in words: "north", "north-east"...
std::string_view compass_words(double azimuth_deg);

}  // namespace noonshell
