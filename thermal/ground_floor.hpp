// Floors that lie on the ground: the ground's resistance by the size of the floor.
#pragma once

#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

/// U-value of a slab on the ground, ground included [W/(m2 K)]; [iso13370] 9.1: a slab of
/// characteristic dimension B' (area over half its exposed perimeter) on soil of conductivity
/// `soil_w_mk`, with `equivalent_thickness_m` of soil for surface resistances, floor and walls. No
/// edge insulation. Steady state between the room and outdoor air at its yearly mean.
double ground_slab_u_w_m2k(double characteristic_m, double equivalent_thickness_m,
                           double soil_w_mk);

/// Layers from the deep ground to the room: a layer without mass for what the soil resists beyond
/// its upper half metre, that half metre (which follows the seasons; [iso13370] annex F likewise),
/// then the floor. Where the whole ground resists less, the soil is the thinner.
std::vector<Layer> layers_on_ground(const Construction& floor, double characteristic_m);

/// B' of every unit's floor [m], #units; 0 for units that do not lie on the ground. Units on the
/// ground that touch each other with their walls make one floor; its perimeter is that of their
/// floors less what they share.
std::vector<double> characteristic_dimensions_m(const Envelope& envelope);

}  // namespace noonshell
