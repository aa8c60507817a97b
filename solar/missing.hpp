#pragma once

#include <limits>

namespace noonshell {

/// Stands where a file has no value.
inline constexpr double missing = std::numeric_limits<double>::quiet_NaN();

}  // namespace noonshell
