// Private to geometry/: sides of a room that are closed by what belongs to others: the floor of the
// storey above where there is no roof, the wall of the cabin beside where one is missing.
#pragma once

#include <span>
#include <vector>

#include "geometry/enclosure.hpp"
#include "geometry/model.hpp"
#include "geometry/patches.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// Parts of the faces of `others` that stand before the room of `bodies` and are seen from it
/// through no more than a joint, as patches of its own skin: they face out of the room, stand for
/// no face of its bodies and are marked `of_neighbour`. `mesh` are the triangles of `bodies`,
/// `room` what they enclose. The upper edges of walls, the ends of floors that a side rests on are
/// its rim.
std::vector<Patch> borrowed_sides(const Model& model, std::span<const BodyId> bodies,
                                  std::span<const BodyId> others, const RayMesh& mesh,
                                  const RoomPlan& room);

}  // namespace noonshell
