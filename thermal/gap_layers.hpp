// Still air gaps between layers: their resistance goes by the direction of the heat.
#pragma once

#include <vector>

#include "thermal/air_layers.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

/// A gap of that thickness; `emittance` of its shinier face, the other has 0.9. Its resistance is
/// that of horizontal heat flow until set_gap_resistances().
Layer still_gap(double thickness_m, double emittance);

/// The heat's way into the room through a surface of this tilt, which counts where it is hot
/// outside: down through roofs, up through floors, across through what is steeper than 60 degrees.
HeatFlow flow_into_room(double tilt_deg);

/// Gives every gap its resistance after [iso6946] annex D at 30 C and a difference of 5 K; the
/// other layers stay. Heat that goes the other way (a roof in a cold night) meets the same. A gap
/// that battens cross is a section of its own beside theirs, by the combined method of [iso6946]
/// 6.7.2 (thermal_bridge.hpp); the battens' heat capacity is left out.
void set_gap_resistances(std::vector<Layer>& layers, HeatFlow flow);

}  // namespace noonshell
