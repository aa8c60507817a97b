// Private to geometry/: undersides of a unit that no room lies above: eaves, canopies and roofs of
// terraces that are drawn as part of it.
#pragma once

#include <span>
#include <vector>

#include "geometry/patches.hpp"

namespace noonshell {

/// One answer per patch: whether it faces down and what faces up above most of it, at the highest,
/// does so less than the height of a room above. Where that holds for all that faces down, the unit
/// is low and none are eaves. `patches` face outward.
std::vector<bool> under_eaves(std::span<const Patch> patches);

}  // namespace noonshell
