// Private to geometry/: bodies that stand twice at the same place, and how much of the file's area
// was lost.
#pragma once

#include "geometry/model.hpp"

namespace noonshell {

/// Takes out every body that is the same surface as an earlier one at the same place; each is
/// listed in Model::left_out as a double. Faces and triangles stay consecutive.
void drop_coincident_bodies(Model& model);

/// Fills Model::lost_area_share and, where it is above `limit`, puts the warning "lost-area" first.
void note_lost_area(Model& model, double limit);

}  // namespace noonshell
