// Parts of a unit that was carried off whole: those of other names are looked for in their places
// within the unit, where the model's own places tell nothing.
#pragma once

#include <span>

#include "geometry/matching.hpp"

namespace noonshell {

/// Bodies of one version that make up a unit or a shade.
struct OwnedBodies {
    const Model& model;
    std::span<const BodyId> bodies;
};

/// Matches what is so far gone of `before` and new in `after`, the same unit in both versions:
/// about as large, and overlapping once the whole unit is laid upon its new place.
void match_renamed_parts(BodyMatches& matches, const OwnedBodies& before, const OwnedBodies& after);

}  // namespace noonshell
