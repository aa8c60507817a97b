// Private to geometry/: rooms in rooms. An insulated or lined container is drawn as a hollow skin
// with a hollow lining within: one room, with the outer body for its skin.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// For each body the room about it: the outermost body that it lies within as a lining does; itself
/// where there is none. `room_m3` holds the room that each body encloses by itself; below
/// `least_room_m3` a body takes no part, and what holds less than half of the room about it is a
/// room of its own.
std::vector<BodyId> outermost_rooms(const Model& model, std::span<const BodyBounds> bounds,
                                    std::span<const double> room_m3, double least_room_m3);

/// What is known of all bodies, and the bodies below each assembly.
struct LiningSearch {
    const Model& model;
    std::span<const BodyBounds> bounds;
    std::span<const double> room_m3;
    std::span<const BodyId> outermost;  ///< as outermost_rooms() gives it
    std::span<const std::vector<BodyId>> subtrees;
    double gear_reach_m;  ///< gear of a unit lies no farther than this about its skin
};

/// Makes one unit of each skin and its linings, unless they have other roles or [[unit]] parts
/// them. It bears the name of the assembly about the skin where that holds nothing but them, panes
/// and gear; else the skin's. Returns the names of units that nothing but this guess made.
std::vector<std::string> join_linings(const LiningSearch& search,
                                      std::vector<std::optional<RoleChoice>>& choices);

}  // namespace noonshell
