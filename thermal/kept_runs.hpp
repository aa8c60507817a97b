// Runs of one building with surfaces finished otherwise: found in a store, or made and kept there.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "thermal/comfort.hpp"
#include "thermal/surface_trials.hpp"
#include "thermal/trial_store.hpp"

namespace noonshell {

/// What a plan looks at of a run.
struct PlanRun {
    Response response;
    std::vector<TooHot> too_hot{};  ///< #units, without cooling; empty where nobody asks
};

/// Rooms without cooling: time above one limit a day [C]. Hours must have been kept.
std::vector<TooHot> too_hot_of(const Response& free, std::span<const double> daily_limit_c);

class KeptRuns {
  public:
    /// `store` may be null: then every run is made. `what` tells apart runs that are made in
    /// different ways from the same inputs. With limits of comfort (one a day) every run tells its
    /// time too hot.
    KeptRuns(TrialStore* store, const HeatInputs& inputs, const Building& base,
             const HeatOptions& options, std::string_view what,
             std::span<const double> daily_limit_c = {});

    struct Change {
        SurfaceId surface;
        const Construction* construction;
    };
    /// Of the whole building. Safe to call from several threads.
    PlanRun whole(std::span<const Change> changes, const std::function<PlanRun()>& run) const;
    /// Of a part of it; of the part only the units are kept.
    struct Outcome {
        ActivePart active;
        PlanRun run;
    };
    Outcome outcome(const Change& change, const std::function<Outcome()>& run) const;

  private:
    std::string key_of(std::span<const Change> changes) const;
    std::string bytes_of_run(const PlanRun& run) const;
    std::optional<PlanRun> run_of(const std::string& bytes) const;

    TrialStore* store_;
    std::size_t n_units_;
    bool with_too_hot_;
    ContentKey question_;
};

}  // namespace noonshell
