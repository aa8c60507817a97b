// The U-value of a construction as building regulations count it.
#pragma once

#include "thermal/air_layers.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

/// Layers and surface resistances of [iso6946], Rse = 0.04 m2 K/W, Rsi by the direction of the heat
/// flow; a vented cladding counts as a well-ventilated layer (its sheet and gap are left out and
/// the outer surface takes the resistance of still air) [W/(m2 K)].
double u_value_w_m2k(const Construction& construction, HeatFlow flow);

}  // namespace noonshell
