// Private to geometry/: where one can look out of a room between the closed solids that enclose it:
// open joints, missing panels.
#pragma once

#include <span>
#include <vector>

#include "geometry/enclosure.hpp"
#include "geometry/model.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// One opening, as it is seen square to a side of the room. A ring is as long as its middle line.
struct UnitOpening {
    Vec3 normal{0, 0, 1};  ///< outward: the way that it is looked through
    double length_m = 0;
    double width_m = 0;  ///< no more than the length
    double area_m2 = 0;
    bool cut_short = false;  ///< a neighbour closes part of it: length and width are of the whole
};

struct UnitOpenings {
    double widest_closed_m = 0;     ///< no wider than closed_gap_m; 0: none of at least 1 mm
    std::vector<UnitOpening> open;  ///< wider than closed_gap_m
};

/// Looks out of the room of `plan` up, down and along both of its level axes, past all that stands
/// before the room there: the exact shadows of its faces. `bodies` are all that close the room,
/// panes included, `mesh` their triangles. A joint that is nowhere seen through (lapped, covered by
/// a strip) is none. Left out: joints in sides that stand aslant to all axes are measured by their
/// shadow; a joint along an edge that is drawn back in both of its sides is found in both.
UnitOpenings find_unit_openings(const Model& model, std::span<const BodyId> bodies,
                                const RayMesh& mesh, const RoomPlan& plan);

}  // namespace noonshell
