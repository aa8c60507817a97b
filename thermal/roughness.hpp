// How rough an outside face is: by how much more the wind takes off it than off glass.
#pragma once

#include <array>
#include <string_view>

namespace noonshell {

enum class Roughness {
    very_smooth,    ///< glass, painted sheet
    smooth,         ///< smooth plaster
    medium_smooth,  ///< clear pine
    medium_rough,   ///< concrete
    rough,          ///< brick
    very_rough      ///< stucco
};

/// In the order of Roughness.
inline constexpr std::array<std::string_view, 6> roughness_names = {
    "very smooth", "smooth", "medium smooth", "medium rough", "rough", "very rough"};

/// Forced convection over that on glass in the same wind, after wind tunnel measurements on six
/// surfaces [rowley1930]: one number for each, whatever the wind (values from memory).
double forced_over_that_of_glass(Roughness roughness);

}  // namespace noonshell
