// The sceneries that a plan may stand in: the building as it is, and with planned shades built.
#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <span>
#include <vector>

#include "thermal/scenery.hpp"
#include "thermal/surface_planner.hpp"

namespace noonshell {

/// Indices of shade trials that stand, ascending, one of each planned shade at most.
using Built = std::vector<std::size_t>;

/// A plan with its shades.
struct WholeChoice {
    Built built;
    Choice finishes;
};

/// A scenery and where to spend on its surfaces.
struct PlanScene {
    std::shared_ptr<const Scenery> scenery;  ///< none for the building as it is
    std::unique_ptr<const Relight> relight;  ///< light found anew
    std::unique_ptr<SurfacePlanner> surfaces;
    double cost = 0;  ///< of the shades, with their call-outs
    double upkeep_per_year = 0;
    std::vector<CallOut> calls;      ///< that the shades ask for
    std::vector<double> light_left;  ///< on every surface, over that without the shades, #surfaces
};

/// Traces and runs what is asked for, once. `question` is of the building as it is.
class PlanScenes {
  public:
    PlanScenes(const SurfaceQuestion& question, const Relight& relight);

    PlanScene& bare() { return scenes_.at({}); }
    const PlanScene& bare() const { return scenes_.at({}); }
    /// Ready for re-runs, single savings not found.
    PlanScene& with(const Built& built);
    bool stands(const Built& built) const { return scenes_.contains(built); }
    /// Gives back its memory; it is traced again when asked for again.
    void forget(const Built& built) { scenes_.erase(built); }

    /// A planned shade of that size, alone on the building: tried when first asked for. `keep`: its
    /// scene stays.
    std::size_t trial_of(std::size_t shade, const ShadeSize& size, bool keep);
    /// What it costs with its call-outs, by measure alone.
    double price_of(std::size_t shade, const ShadeSize& size) const;
    const std::vector<ShadeTrial>& trials() const { return trials_; }
    const std::vector<CallOut>& calls_of(std::size_t trial) const { return calls_[trial]; }

    double cost_of(const Built& built) const;  ///< with call-outs; nothing is traced
    double cost(const WholeChoice& whole) const;
    double call_out_cost(const WholeChoice& whole) const;
    std::vector<CallOut> call_outs(const WholeChoice& whole) const;
    double upkeep_per_year(const WholeChoice& whole) const;
    /// Of a whole that was run: the goal's figure, upkeep of shades included where it counts.
    double burden(const WholeChoice& whole) const;
    double excess(const WholeChoice& whole) const;  ///< over the limits
    double judged(const WholeChoice& whole) const {
        return bare().surfaces->judged(burden(whole), excess(whole));
    }
    /// What a trial takes off the figure of every limited unit.
    const std::vector<double>& taken_off(std::size_t trial) const { return taken_off_[trial]; }
    const PlanRun& plan_run(const WholeChoice& whole) const;
    const Response& response(const WholeChoice& whole) const { return plan_run(whole).response; }
    double counted(const Built& built) const;  ///< of what its shades cost, call-outs included
    double counted_call_outs(const WholeChoice& whole) const;
    void run(const WholeChoice& whole) { with(whole.built).surfaces->runs().run({whole.finishes}); }

    const std::map<Built, PlanScene>& all() const { return scenes_; }

  private:
    ShadeSettings settings_of(const Built& built) const;
    std::vector<CallOut> calls_together(const Built& built) const;

    const SurfaceQuestion question_;
    std::map<Built, PlanScene> scenes_;
    std::vector<double> bare_light_;  // over the period, #surfaces
    std::vector<ShadeTrial> trials_;
    std::vector<std::vector<CallOut>> calls_;     // #trials
    std::vector<std::vector<double>> taken_off_;  // #trials, #limited units
};

}  // namespace noonshell
