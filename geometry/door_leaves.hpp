// Private to geometry/: leaves of doors and hatches that stand in the openings of a hollow body.
#pragma once

#include <span>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/ids.hpp"
#include "geometry/model.hpp"

namespace noonshell {

/// Those of `plates` that fill an opening in the walls of `hull`: its matter stands close to both
/// of their edges, side by side or above and below, and to one side of them nothing of it stands.
/// `bounds` are those of all bodies.
std::vector<BodyId> leaves_in_openings(const Model& model, const std::vector<BodyBounds>& bounds,
                                       BodyId hull, std::span<const BodyId> plates);

}  // namespace noonshell
