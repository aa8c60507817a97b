// Whole re-runs of a building with chosen finishes, each choice once.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <string_view>
#include <vector>

#include "thermal/finishes.hpp"
#include "thermal/kept_runs.hpp"
#include "thermal/planner.hpp"
#include "thermal/purchase_costs.hpp"

namespace noonshell {

/// What PlanRuns are about; all that it refers to must outlive them.
struct PlanRunsQuestion {
    const HeatInputs& inputs;
    const Building& base;
    std::span<const Treatment> treatments;
    const std::vector<Finish>& finishes;
    const Relight& relight;
    const PlanOptions& options;
    std::string_view light = "light moved";  ///< how `relight` finds it, for the store
    std::span<const CallOut> paid = {};      ///< call-outs that cost nothing more
};

/// Whether goal or limits look at what rooms ask of their plants.
bool wants_loads(const PlanOptions& options);

/// Limits of comfort, where goal or limits look at rooms without cooling.
std::span<const double> wanted_limits(const PlanOptions& options);

class PlanRuns {
  public:
    explicit PlanRuns(const PlanRunsQuestion& question);

    /// Runs those choices that were not run yet, side by side. Loads of plants that reach a limit
    /// are those of a run without limits where the goal or a limit of the plan looks at them.
    void run(const std::vector<Choice>& choices);
    /// Loads of choices that were run, whoever looks at them.
    void find_loads(const std::vector<Choice>& choices);
    /// Of a choice that was run.
    const Response& response(const Choice& choice) const { return runs_.at(choice).response; }
    const PlanRun& run_of(const Choice& choice) const { return runs_.at(choice); }
    std::vector<double> burdens(const Choice& choice) const;  ///< #units, costs that count included
    /// Of the burdens, what purchases cost as far as the goal counts it, #units.
    std::vector<double> counted_costs(const Choice& choice) const;
    double counted(std::size_t finish) const { return counted_[finish]; }  ///< without call-outs
    double counted_call_outs(const Choice& choice) const;
    double burden(const Choice& choice) const;
    /// How far units are above their limits, see excess_of().
    double excess(const Choice& choice) const {
        return excess_of(limited_, run_of(choice), inputs_.envelope);
    }
    const std::vector<LimitedUnit>& limited() const { return limited_; }
    double cost(const Choice& choice) const { return costs_.cost(choice); }
    const PurchaseCosts& costs() const { return costs_; }
    std::size_t n_runs() const { return runs_.size(); }
    const std::map<Choice, PlanRun>& all() const { return runs_; }
    const PlanPrices& prices() const { return prices_; }

  private:
    PlanRun run_one(const Choice& choice) const;
    PlanRun run_anew(const Building& building, bool changed) const;
    Response unlimited_run_of(const Choice& choice) const;
    std::optional<Exposure> light_on(const Building& building, bool changed) const;
    HeatOptions quiet_heat() const;

    const HeatInputs& inputs_;
    const Building& base_;
    std::span<const Treatment> treatments_;
    const std::vector<Finish>& finishes_;
    const Relight& relight_;
    const PlanOptions& options_;
    PurchaseCosts costs_;
    PlanPrices prices_;
    std::vector<double> counted_;  // #finishes
    std::vector<LimitedUnit> limited_;
    KeptRuns kept_;
    Building unlimited_base_;
    KeptRuns kept_unlimited_;
    std::set<Choice> with_loads_;
    std::map<Choice, PlanRun> runs_;
};

}  // namespace noonshell
