// The rooms and doorways that a heat run looks at: of a part run, few of the building's.
#pragma once

#include <cstdint>
#include <vector>

#include "thermal/building.hpp"
#include "thermal/heat_patches.hpp"

namespace noonshell {

struct LiveRooms {
    std::vector<std::uint32_t> run;       ///< units whose air the run finds
    std::vector<std::uint32_t> beside;    ///< others behind a wall or doorway of those: as given
    std::vector<std::uint32_t> doorways;  ///< that lead into a unit that is run
};

/// Of the units marked in `active`, whose patches those are; null: of all units.
LiveRooms live_rooms(const Patches& patches, const Building& building, const ActivePart* active);

}  // namespace noonshell
