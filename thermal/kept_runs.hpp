// Runs of one building with surfaces finished otherwise: found in a store, or made and kept there.
#pragma once

#include <functional>
#include <span>
#include <string_view>

#include "thermal/surface_trials.hpp"
#include "thermal/trial_store.hpp"

namespace noonshell {

class KeptRuns {
  public:
    /// `store` may be null: then every run is made. `what` tells apart runs that are made in
    /// different ways from the same inputs.
    KeptRuns(TrialStore* store, const HeatInputs& inputs, const Building& base,
             const HeatOptions& options, std::string_view what);

    struct Change {
        SurfaceId surface;
        const Construction* construction;
    };
    /// Of the whole building. Safe to call from several threads.
    Response response(std::span<const Change> changes, const std::function<Response()>& run) const;
    /// Of a part of it; of the part only the units are kept.
    SurfaceTrials::Outcome outcome(const Change& change,
                                   const std::function<SurfaceTrials::Outcome()>& run) const;

  private:
    std::string key_of(std::span<const Change> changes) const;

    TrialStore* store_;
    std::size_t n_units_;
    ContentKey question_;
};

}  // namespace noonshell
