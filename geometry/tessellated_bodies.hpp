// Private to geometry/: bodies that a STEP file gives as triangles only (AP242 tessellation), which
// the CAD kernel does not know.
#pragma once

#include <string_view>

#include "geometry/model.hpp"

namespace noonshell {

/// True when the text may hold tessellated solids, shells or faces: a cheap look.
bool may_hold_tessellation(std::string_view file_text);

/// Appends one body for each tessellated solid, shell or loose face set of the file, at each place
/// where its part stands. The triangles are used as they are; a closed set counts as a solid and
/// has the volume of its triangles. What stands for a B-rep of the file (by its link, or because a
/// body that is already in the model fills the same box) is passed over. What cannot be read goes
/// to Model::left_out. Entities as in ISO 10303-42: triangulated_face, complex_triangulated_face,
/// triangulated_surface_set, complex_triangulated_surface_set.
void add_tessellated_bodies(std::string_view file_text, Model& model);

}  // namespace noonshell
