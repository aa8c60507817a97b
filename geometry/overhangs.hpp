// Private to geometry/: what of a unit lies beyond its walls in plan: eaves of a roof panel, a
// floor plate that sticks out. It is drawn as part of the unit, yet no room lies under or above it:
// it is cut off along the outer planes of the walls and stands in the open as a shade does.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "geometry/enclosure.hpp"
#include "geometry/patches.hpp"
#include "geometry/plane_region.hpp"

namespace noonshell {

/// Where a unit reaches beyond its walls, seen from above.
struct OverhangZone {
    PlaneFrame plan;                 ///< level; its normal points up
    PlaneRegion region;              ///< in `plan`, as the others
    PlaneRegion past_relief;         ///< what of it is no relief of a wall
    Vec2 low_m{0, 0}, high_m{0, 0};  ///< bounds of `region`, with a hair
    double middle_z_m = 0;           ///< half way up the walls
    bool has_loggia = false;
};

/// The zone beyond the walls of a skin whose patches face outward. A wall is upright, at least as
/// high as a room and half a metre wide; the walls must stand about a room, with gaps no wider than
/// a doorway. None where they do not, or where nothing but relief lies beyond them
/// (relief_depth_m).
/// Where `room` has loggias they lie beyond the walls as well, with the walls about them that are
/// none of the room.
std::optional<OverhangZone> find_overhang_zone(std::span<const Patch> skin, const RoomPlan& room);

struct CutPatch {
    std::optional<Patch> within, beyond;  ///< the walls; the whole patch where nothing is cut
};

/// Parts a patch at the border of the zone. What reaches no farther than relief is not cut.
CutPatch cut_at_walls(const Patch& patch, const OverhangZone& zone);

/// A patch that lies beyond the walls.
struct OverhangPatch {
    Patch patch;
    bool has_back = false;  ///< a sheet without thickness that is seen from both sides
};

/// Patches whose heights meet.
struct UnitOverhang {
    bool low = false;     ///< below the middle of the walls: a ledge, not eaves
    bool loggia = false;  ///< what lies about a loggia, roof, floor and walls
    std::vector<OverhangPatch> patches;
};

/// Overhangs by height, the highest first.
std::vector<UnitOverhang> overhangs_by_height(std::vector<OverhangPatch> patches,
                                              const OverhangZone& zone);

}  // namespace noonshell
