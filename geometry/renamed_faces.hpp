// Faces of an edited model that bore another name in an earlier version: which face is which, body
// by body, and by which names a site file written for the earlier version knows them.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/known_names.hpp"
#include "geometry/matching.hpp"

namespace noonshell {

/// #faces of the new model: the face of the old one that it was, else Change::none. Only faces of
/// matched bodies are looked for, once each old body is laid upon its new place: first those that
/// coincide in place, normal and area, whatever they are called; then, of faces whose normals miss
/// each other by no more than `renamed_side_deg` and whose areas differ by no more than the square
/// of `renamed_size_ratio`, those of one name, then the nearest no farther apart than
/// `renamed_move_share` of the root of the larger area.
std::vector<std::uint32_t> match_faces(const BodyMatches& matches, const Model& old_model,
                                       const Model& new_model);

/// #faces lists: the present name and the former one where it differs; empty names are left out. A
/// present name does not count where in the old body it was that of one face alone which now bears
/// another.
std::vector<NameList> known_face_names(const BodyMatches& matches, const Model& old_model,
                                       const Model& new_model);

}  // namespace noonshell
