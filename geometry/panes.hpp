// Panes that are bodies of their own: each takes its opening out of the wall that it lies in.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// A pane belongs to a wall whose plane it comes within this of, behind it or before it [m].
inline constexpr double pane_depth_m = 0.35;

/// A pane and its wall may differ in direction by this much [deg].
inline constexpr double pane_angle_deg = 10.0;

/// A pane found in a wall.
struct PaneInWall {
    std::size_t wall = 0;  ///< index into the patches given
    Patch pane;            ///< in the wall's plane, as large as the glazing there
};

/// Finds the wall of `body` among outward patches of units: parallel, near, and reaching over at
/// least half of the pane, holes of the wall included. The nearest wins; none when there is no such
/// wall.
std::optional<PaneInWall> find_wall_of_pane(const Model& model, BodyId body,
                                            std::span<const Patch> patches);

}  // namespace noonshell
