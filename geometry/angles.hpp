#pragma once

#include <numbers>

namespace noonshell {

/// One degree in radians.
inline constexpr double degree = std::numbers::pi / 180.0;

}  // namespace noonshell
