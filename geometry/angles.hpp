#pragma once

#include <cmath>
#include <numbers>

namespace noonshell {

/// One degree in radians.
inline constexpr double degree = std::numbers::pi / 180.0;
inline constexpr double full_circle_deg = 360;

/// The same direction in [0, 360).
inline double round_the_circle_deg(double angle_deg) {
    const double turned = angle_deg - full_circle_deg * std::floor(angle_deg / full_circle_deg);
    return turned < full_circle_deg ? turned : 0;  // a tiny negative rounds up to 360
}

}  // namespace noonshell
