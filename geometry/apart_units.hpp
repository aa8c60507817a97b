// Private to geometry/: containers that were exported flat, all their panels in
// one assembly or none: pieces that stand apart and enclose a room each are
// units of their own.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// The room that some bodies enclose together [m3].
using RoomFinder = std::function<double(std::span<const BodyId>)>;

/// Parts each unit of several bodies whose pieces stand farther apart than
/// closed_gap_m, where two or more of them enclose a room of `least_room_m3`:
/// they become NAME-1, NAME-2 and so on, and pieces without a room go to the
/// nearest. Units named in `kept` stay whole.
void part_units(const Model& model, std::span<const BodyBounds> bounds,
                std::span<const NamedUnit> kept, const RoomFinder& room_m3, double least_room_m3,
                std::vector<std::optional<RoleChoice>>& choices);

}  // namespace noonshell
