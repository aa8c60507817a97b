// Where to spend: what to buy for which surface within a budget, in which order, and how near to
// the best possible that is.
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "thermal/defence.hpp"
#include "thermal/finishes.hpp"
#include "thermal/plan_confidence.hpp"
#include "thermal/plan_goal.hpp"
#include "thermal/plan_limits.hpp"
#include "thermal/planned_shade.hpp"
#include "thermal/purchase_costs.hpp"
#include "thermal/scenery.hpp"
#include "thermal/simulate.hpp"
#include "thermal/trial_store.hpp"

namespace noonshell {

/// Step of the single trials [s]: they are only compared, and all that is told of a plan is re-run
/// with the steps of the run.
inline constexpr double trial_step_s = 1800;

struct PlanOptions {
    PlanGoal goal = PlanGoal::cooling_energy;
    double budget = 0;
    double electricity_price_per_kwh = 0.2;
    Discounting discounting;  ///< of a goal that looks over years
    PlanLimits limits;        ///< come before the goal
    /// Of comfort without cooling, one a day of the period [C]; needed by a goal or a limit that
    /// looks at it.
    std::vector<double> daily_limit_c;
    std::size_t samples = 0;  ///< of uncertain inputs, for Plan::confidence; 0: none
    InputSpread spread;
    std::vector<std::string> untouched;  ///< patterns of surfaces that no treatment may touch
    int frontier_points = 20;            ///< budgets from nothing to everything
    std::vector<PlannedShade> shades;    ///< that can be bought too
    const ShadeYard* yard = nullptr;     ///< needed where there are any
    HeatOptions heat;
    /// The same outdoors as the plan's in longer steps, for the single trials; null: the plan's
    /// own.
    const Surroundings* trial_surroundings = nullptr;
    TrialStore* store = nullptr;  ///< of runs made earlier; null: none
    unsigned threads = 0;
    std::function<void(double)> progress;
    const std::atomic<bool>* stop = nullptr;
};

/// A planned shade of one size, as it was tried alone on the building.
struct ShadeTrial {
    std::size_t shade = 0;  ///< index into PlanOptions::shades
    ShadeSize size;
    double area_m2 = 0;
    std::size_t pieces = 0;
    std::vector<UnitId> units{};  ///< over or against which it stands
    double cost = 0;              ///< without call-outs
    double upkeep_per_year = 0;
    double alone = 0;  ///< what it saves of the goal's figure
    /// What it leaves of the light on every surface of the building as it is, #surfaces.
    std::vector<double> light_left{};
};

/// One purchase: a finish or a shade. Figures of a whole re-run with it, less those with all
/// purchases before it.
struct PlanStep {
    std::size_t finish = 0;            ///< index into Plan::finishes; without a meaning for a shade
    std::optional<std::size_t> shade;  ///< index into Plan::shade_trials
    double saves = 0;                  ///< of the goal's figure
    double saves_cooling_j = 0;        ///< over the period, whole building
    double saves_peak_w = 0;           ///< sum of the units' largest cooling loads
    double saves_running = 0;          ///< [currency] of electricity over the period, less upkeep
    double alone = 0;                  ///< what it would save of the goal's figure on its own
    double call_out_cost = 0;          ///< of what it asks for and those before it did not
    double cost = 0;                   ///< with that
    double cost_so_far = 0;
};

/// The best plan found for one budget; the first is to buy nothing.
struct FrontierPoint {
    double budget = 0, cost = 0;
    double call_out_cost = 0;  ///< of the cost
    double burden = 0;         ///< the goal's figure, whole building, re-run
    double cooling_j = 0;
    std::vector<std::size_t> finishes;  ///< indices into Plan::finishes, ascending
    std::vector<std::size_t> shades;    ///< indices into Plan::shade_trials, ascending
    bool meets_limits = true;
};

struct Plan {
    PlanGoal goal = PlanGoal::cooling_energy;
    double budget = 0, cost = 0;
    double call_out_cost = 0;    ///< of the cost
    double upkeep_per_year = 0;  ///< [currency] of all that is bought
    double upkeep_over_period = 0;
    std::vector<CallOut> calls;    ///< that the plan pays for
    std::vector<Finish> finishes;  ///< all that can be bought
    std::vector<double> alone;     ///< what each saves of the goal's figure on its own, #finishes
    std::vector<ShadeTrial> shade_trials;  ///< all sizes of planned shades that were tried
    std::vector<std::size_t> shades;       ///< of these, what the plan builds
    std::vector<PlanStep> steps;           ///< what to buy, in order
    double burden_before = 0;              ///< the goal's figure, whole building
    double burden_after = 0;               ///< the same, re-run with all steps
    double burden_checked = 0;    ///< the same with the light on the finished building found anew
    double predicted_saving = 0;  ///< what the last integer programme promised
    /// No plan within the budget saves more, if in none that promises as much the purchases help
    /// each other more than in those re-run here: the optimum of the integer programme over single
    /// savings, raised by helping_share.
    double most_saving = 0;
    double helping_share = 0;   ///< 0 where no such plan saved more than the sum of its parts
    std::size_t plans_run = 0;  ///< whole re-runs
    /// Exchanges tried on the plan; of plans_run, those that re-runs in long steps had not ruled
    /// out.
    std::size_t swaps_tried = 0, swaps_run = 0;
    std::vector<FrontierPoint> frontier;
    Response before, after;  ///< without hours
    /// Of the building as it stands, in the steps of trials, [hour * n_units + unit].
    std::vector<float> cooling_before_w;
    std::vector<TooHot> too_hot_before, too_hot_after;  ///< #units; empty where nobody asks
    /// Of steps, in their order; empty without samples. Shades are taken as bought: they have no
    /// share of samples (NaN).
    PlanConfidence confidence;

    double saving() const { return burden_before - burden_after; }
    /// Of the largest saving possible, what the plan may miss.
    double gap() const { return most_saving > 0 ? 1 - saving() / most_saving : 0; }
};

/// Single savings by part re-runs (surface_trials.hpp) in longer steps, then by turns: an integer
/// programme over them, a whole re-run of its plan with the light moved by relit_by(), and single
/// savings scaled for every unit to what the re-run says, until the plan stands; then exchanges
/// (one or two surfaces finished otherwise or left bare) in the order of what they promise, each
/// re-run, until none of the most promising improves it. Where a plan saves otherwise than its
/// parts alone, every finish is tried again beside the others of the plan, over some days, and the
/// programme solved by these savings. The same for every budget of the frontier, without exchanges,
/// by single savings, by those beside the dearest plan and by the mean of both. Aged reflectances
/// count. `relight` finds the light on the finished building anew, once, as a check. With a store,
/// runs made for an earlier plan are not made again. The steps keep purchases together that share a
/// call-out. Planned shades are bought beside the finishes, see ShadeSearch; what is told of a plan
/// with shades is of their scenery, traced. With limits the programme has to bring every unit that
/// is above one down to it, by the single effects on that unit, scaled to what re-runs say; a plan
/// that leaves less above the limits is better whatever the goal. Deterministic for any number of
/// threads. Throws InputError for a budget or price out of range, for shades that cannot be built,
/// and for limits that no plan found meets, with what is reachable; Interrupted.
Plan make_plan(const HeatInputs& inputs, const Building& base,
               std::span<const Treatment> treatments, const Relight& relight,
               const PlanOptions& options);

}  // namespace noonshell
