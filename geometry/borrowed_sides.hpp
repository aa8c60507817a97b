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

struct BorrowedSide {
    Patch patch;
    double clear_m2 = 0;  ///< of it, what the room sees: without the edges of its own walls
    double gap_m = 0;     ///< from the unit's own edges to the neighbour's face; 0 where it runs in
};

/// Parts of the faces of `others` that stand before the room of `bodies` and are seen from it
/// through no more than a joint, as patches of its own skin: they face out of the room, stand for
/// no face of its bodies and are marked `of_neighbour`. `mesh` are the triangles of `bodies`,
/// `room` what they enclose, `skin` their outer patches: edges of walls and floors that are no skin
/// and frame what is borrowed are borrowed as well. The nearest face comes first; what stands
/// behind it closes nothing more.
std::vector<BorrowedSide> borrowed_sides(const Model& model, std::span<const BodyId> bodies,
                                         std::span<const BodyId> others, const RayMesh& mesh,
                                         const RoomPlan& room, std::span<const Patch> skin);

}  // namespace noonshell
