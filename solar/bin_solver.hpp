// Light between the parts over whole bins (months, say): the same light as that of all hours,
// solved more exactly.
#pragma once

#include <span>

#include "solar/exposure.hpp"
#include "solar/hour_writer.hpp"

namespace noonshell {

/// From what arrives at all parts over each bin (`arriving_wh_m2`, [bin * #parts + part]) the light
/// that leaves them, all light on them, the light balance; then scales what others throw onto the
/// surfaces of the building in each of `hours` so that the hours of a bin add up to it.
void solve_bins(const HourSources& sources, std::span<const HourLight> hours,
                std::span<const double> arriving_wh_m2, Exposure& result);

}  // namespace noonshell
