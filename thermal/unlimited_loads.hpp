// What rooms would ask of a plant without a limit, where theirs has one.
#pragma once

#include <optional>

#include "thermal/simulate.hpp"

namespace noonshell {

/// The same building with plants that hold every set-point.
Building without_limits(const Building& building);

/// Whether any room is cooled by a plant that has a limit.
bool has_limits(const Building& building);

/// Whether any plant of a run was at its limit at any time of the period: else the run would have
/// been the same without limits (but for what is left of the days in which it settled).
bool reached_limits(const Response& run);

/// A run without_limits().
struct UnlimitedRun {
    Building building;
    Response response;
    Trace trace;  ///< where it was asked for
};

/// Nothing where `run`, that of the building as it is, reached no limit: its own loads are right. A
/// run of its own, because a room that its plant left too warm asks for less than one that was kept
/// at its set-point.
std::optional<UnlimitedRun> unlimited_run(const HeatInputs& inputs, const Building& building,
                                          const Response& run, const HeatOptions& options,
                                          bool with_trace = false);

/// Puts the loads of a run without limits (peaks, needed capacities, latent parts) in the place of
/// those of a run whose plants were at theirs.
void put_loads(const Response& unlimited, Response& run);
void put_loads(const std::optional<UnlimitedRun>& unlimited, Response& run);

}  // namespace noonshell
