// Planned shades on the user's model: built, cut into surfaces, their sun traced.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "cli/run_analysis.hpp"
#include "thermal/planner.hpp"

namespace noonshell {

/// The model with these shades after those of the site file; warnings of both.
Inspection built_with(const Inspection& inspection, const ShadeSettings& shades);

/// `run` and `surroundings` must outlive it and all that it makes.
class TracedYard final : public ShadeYard {
  public:
    TracedYard(const RunResult& run, const Surroundings& surroundings, unsigned threads)
        : run_(run), surroundings_(surroundings), threads_(threads) {}
    ShadeMeasure measure(const ShadeSettings& shades) const override;
    std::shared_ptr<const Scenery> with(const ShadeSettings& shades) const override;

  private:
    const RunResult& run_;
    const Surroundings& surroundings_;
    unsigned threads_;
};

/// The shades that a plan builds, as settings.
ShadeSettings shades_of(const Plan& plan, std::span<const PlannedShade> planned);

}  // namespace noonshell
