// One surface finished otherwise, all else as it was: the run of the part that feels it.
#pragma once

#include <span>
#include <vector>

#include "thermal/simulate.hpp"

namespace noonshell {

/// Runs of a base building with one surface changed. Each covers the changed unit, neighbours in
/// contact over more than 1 % of its outside, every unit that takes in more than 0.5 % of the light
/// that the change turns away, and shades that fill more than 2 % of the surface's view; the rest
/// keeps the conditions of the base run. Everything given must outlive it.
class SurfaceTrials {
  public:
    /// `changed`: the surfaces that will be tried.
    SurfaceTrials(const HeatInputs& inputs, const Building& base, const Trace& base_trace,
                  std::span<const SurfaceId> changed);
    /// The same surfaces under the same light, all else may differ.
    SurfaceTrials(const HeatInputs& inputs, const Building& base, const Trace& base_trace,
                  const SurfaceTrials& same_light)
        : inputs_(inputs), base_(base), trace_(base_trace), coupling_(same_light.coupling_) {}

    struct Outcome {
        ActivePart active;  ///< what the run covers
        Response response;  ///< of that part
    };

    /// Safe to call from several threads. Throws std::out_of_range for a surface that is not among
    /// those given.
    Outcome run(SurfaceId surface, const Construction& construction,
                const HeatOptions& options) const;

    /// The light with other outside reflectances, #surfaces, of those that will be tried: as
    /// relit_by(), from the differences to the base building. Throws as relit_by() does.
    Exposure light_with(std::span<const double> reflectance) const;

  private:
    const HeatInputs& inputs_;
    const Building& base_;
    const Trace& trace_;
    std::vector<std::vector<double>> coupling_;  ///< #surfaces, of those not given empty
};

}  // namespace noonshell
