// What rooms would ask of a plant without a limit, where theirs has one.
#pragma once

#include <optional>
#include <vector>

#include "thermal/simulate.hpp"

namespace noonshell {

/// The same building with plants that hold every set-point.
Building without_limits(const Building& building);

/// See Response, #units each.
struct RoomLoads {
    std::vector<Peak> peak_cooling_w, needed_capacity_w;
    std::vector<double> latent_at_peak_w;
};

/// Loads of a run without_limits(); nothing where no plant has a limit, whose own run tells them.
/// A run of its own, because a room that its plant left too warm asks for less than one that was
/// kept at its set-point.
std::optional<RoomLoads> unlimited_loads(const HeatInputs& inputs, const Building& building,
                                         const HeatOptions& options);

/// Puts loads in the place of those of a run whose plants were at their limits.
void put_loads(const std::optional<RoomLoads>& loads, Response& run);

}  // namespace noonshell
