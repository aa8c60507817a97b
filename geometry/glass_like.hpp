// Private to geometry/: bodies of a unit that may be glass and that nobody named a pane.
#pragma once

#include <span>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// Triple glazing in its frame is no thicker [m].
inline constexpr double thickest_glazing_m = 0.06;

/// One warning "pane-unnamed" or two for each unit in which plates or sheets as thin as glazing
/// fill holes of another body's wall, framed on all four sides, or, drawn beside the unit, lie flat
/// on its walls: without a role of their own they are opaque. Doors, which stand on the floor, and
/// plates that take up most of a side are none. `roles` and `bounds` have one entry per body.
std::vector<Warning> glass_like_warnings(const Model& model, std::span<const BodyBounds> bounds,
                                         const std::vector<RoleChoice>& roles);

}  // namespace noonshell
