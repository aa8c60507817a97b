// What each treatment does on each surface, alone, and which surface deserves money first.
#pragma once

#include <atomic>
#include <functional>
#include <vector>

#include "thermal/simulate.hpp"
#include "thermal/treatment.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

struct Effect {
    SurfaceId surface;
    std::size_t treatment = 0;  ///< index into the list given
    double cost = 0;
    double saves_cooling_j = 0;      ///< over the period, whole building
    double adds_heating_j = 0;       ///< over the period, whole building
    double saves_peak_w = 0;         ///< of the unit's largest cooling load, met without a limit
    double lowers_peak_steel_k = 0;  ///< outside face of the steel under the treatment
    double saves_kwh_per_cost() const;
};

struct Ranking {
    std::vector<Effect> effects;      ///< by surface, then by treatment
    std::vector<SurfaceId> order;     ///< best surface first; only surfaces with a rank
    std::vector<std::uint32_t> rank;  ///< #surfaces, 1 = best; 0 = no treatment fits, or none saves
                                      ///< cooling there
};

struct RankingOptions {
    HeatOptions heat;
    /// Of the base building, with its trace; null: made where the base response reached a limit.
    const UnlimitedRun* unlimited = nullptr;
    unsigned threads = 0;
    std::function<void(double)> progress;
    const std::atomic<bool>* stop = nullptr;
};

/// Re-runs the period for every unit surface and every treatment that fits, each change alone. The
/// run covers the changed unit, neighbours in contact over more than 1 % of its outside, every unit
/// that takes in more than 0.5 % of the light that the change turns away, and shades that fill more
/// than 2 % of the surface's view; the rest keeps its base conditions. Order: saved cooling per
/// cost, ties by surface number; surfaces on which no treatment saves any are left out of it. Where
/// a plant reaches its limit, in the base run or with the change, what the load would have been is
/// found by a second run of the same part without limits.
Ranking rank_surfaces(const HeatInputs& inputs, const Building& base,
                      const std::vector<Treatment>& treatments, const Response& base_response,
                      const Trace& base_trace, const RankingOptions& options = {});

}  // namespace noonshell
