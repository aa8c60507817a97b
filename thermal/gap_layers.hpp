// What layers resist where that goes by the direction of the heat: still air gaps, and what
// something crosses.
#pragma once

#include <vector>

#include "thermal/air_layers.hpp"
#include "thermal/construction.hpp"
#include "thermal/thermal_bridge.hpp"

namespace noonshell {

/// A gap of that thickness; `emittance` of its shinier face, the other has 0.9. Its resistance is
/// that of horizontal heat flow until set_layer_resistances().
Layer still_gap(double thickness_m, double emittance);

/// The heat's way into the room through a surface of this tilt, which counts where it is hot
/// outside: down through roofs, up through floors, across through what is steeper than 60 degrees.
HeatFlow flow_into_room(double tilt_deg);

/// Gives every gap its resistance after [iso6946] annex D at 30 C and a difference of 5 K, then
/// every layer that something crosses, gap or slab, what it resists with its bridge
/// (thermal_bridge.hpp); the others stay. Heat that goes the other way (a roof in a cold night)
/// meets the same. Returns the limits of the whole wall's resistance, alike where nothing crosses.
BridgedResistance set_layer_resistances(std::vector<Layer>& layers, HeatFlow flow);

}  // namespace noonshell
