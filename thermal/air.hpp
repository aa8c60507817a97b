#pragma once

namespace noonshell {

/// Of dry air at room temperature, J/(kg K) ([ashrae2021] ch. 1: 1006).
inline constexpr double air_specific_heat_j_kgk = 1006.0;

}  // namespace noonshell
