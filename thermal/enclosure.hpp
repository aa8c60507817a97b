// How much each side of a room exchanges longwave with the others: the mean-radiant-temperature
// network of [carroll1980].
//
// Every inside face i is tied to one radiant node of its room,
//   q_i = sigma (T_i^4 - T_node^4) / ((1 - e_i) / e_i + 1 / F_i)      [W per m2 of the face],
// with F_i = 1 / (1 - A_i F_i / sum A_j F_j) over the room's sides: F_i > 1 makes up for the node
// holding the face itself, which no flat side sees. Faces of one side share its F. (Equations from
// memory.) Against exact view factors and radiosity the faces of containers of 20 and 40 ft are
// within 4 and 6.5 % of the largest heat of a face, one hot face alone within 0.3 %, a cube exact;
// with F_i = 1 they would be 20 and 26 % off.
// Left out: what stands in a room, sides that hide each other (L-shaped rooms, partitions) and
// openings to other rooms.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

/// F of every side of one room, #sides, from their areas [m2]. A side of more than half of all
/// cannot be closed in by the others: its F is as large as can be, 100, the others' are near 1, as
/// if it were bent around them. A side without area has 1.
std::vector<double> enclosure_factors(std::span<const double> side_m2);

/// F of every surface's face in the room, #surfaces; 1 where there is none. Surfaces of a unit that
/// face the same way, within 12 degrees, cannot see each other and make one side: a wall, its panes
/// and all its patches.
std::vector<double> enclosure_factors(const Envelope& envelope);

}  // namespace noonshell
