// Burns by touching hot bare metal.
#pragma once

#include <cstddef>
#include <span>

namespace noonshell {

struct TouchThreshold {
    double contact_s = 0;    ///< time of contact
    double threshold_c = 0;  ///< lowest surface temperature at which a burn may occur
};

/// Burn thresholds of smooth bare metal by contact time, shortest first; [iso13732] part 1. The two
/// shortest are the lower ends of the standard's bands. Values from memory. Coated metal and wood
/// allow more in short contact: for a painted container these are on the safe side.
std::span<const TouchThreshold> bare_metal_touch_thresholds();

/// Hours in which column `column` of an hour-major array [hour * n_columns + column] of surface
/// temperatures [C] is at or above the threshold.
double hours_at_or_above_h(std::span<const float> surface_c, std::size_t n_columns,
                           std::size_t column, double threshold_c);

}  // namespace noonshell
