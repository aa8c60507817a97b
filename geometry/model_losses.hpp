// Private to geometry/: bodies that stand twice at the same place, and how much of the file's area
// was lost.
#pragma once

#include "geometry/model.hpp"

namespace noonshell {

/// Takes out every body that is the same surface as an earlier one at the same place; each is
/// listed in Model::left_out as a double. Faces and triangles stay consecutive.
void drop_coincident_bodies(Model& model);

/// Folds what was left out of one body for the same reason to one row: areas and counts are added
/// up, the first three entities named.
void fold_left_out(Model& model);

/// Folds the rows left out, fills Model::lost_area_share and puts the warning "lost-area" first
/// where the share is above `limit` or an area that was lost is unknown.
void note_lost_area(Model& model, double limit);

}  // namespace noonshell
