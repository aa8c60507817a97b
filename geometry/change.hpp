// What differs between two placed shapes.
#pragma once

#include "geometry/matching.hpp"

namespace noonshell {

/// Figures and flags of a change, without names and indices; a null pointer stands for what is not
/// there. Moves are those besides the common move.
Change change_of(const PlacedShape* before, const PlacedShape* after, const CommonMove& common);

/// Whether two shapes of other names may be the same thing: about as large, and overlapping after
/// the common move.
bool may_be_same(const PlacedShape& before, const PlacedShape& after, const CommonMove& common);

/// Of a name by the reader: "wall-s-2" is the second "wall-s".
std::string_view without_number(std::string_view name);

}  // namespace noonshell
