// Where to spend on the surfaces of one scenery: single savings, and what an integer programme and
// whole re-runs make of them.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "thermal/budget_choice.hpp"
#include "thermal/plan_confidence.hpp"
#include "thermal/plan_runs.hpp"
#include "thermal/surface_trials.hpp"
#include "thermal/thinned_days.hpp"

namespace noonshell {

/// What a SurfacePlanner is about; all of it must outlive it.
struct SurfaceQuestion {
    HeatInputs inputs;
    const Building& base;
    std::span<const Treatment> treatments;
    const std::vector<Finish>& finishes;
    const PlanOptions& options;
    std::vector<CallOut> paid = {};  ///< call-outs that something else has paid for already
};

class SurfacePlanner {
  public:
    explicit SurfacePlanner(const SurfaceQuestion& question);

    /// Runs the base and, where they are to be known, every finish alone. Of surfaces not marked in
    /// `again`, #surfaces, the saving is that of `like`. Runs once.
    void find_single_savings();
    void find_single_savings(const SurfacePlanner& like, std::span<const std::uint8_t> again);
    /// The base alone, so that plans can be re-run.
    void prepare();

    /// What a finish saves of the goal's figure on its own, what it costs not taken off.
    double alone(std::size_t finish) const { return alone_[finish]; }
    /// Of its cost and upkeep what the goal counts, without call-outs.
    double counted(std::size_t finish) const { return runs_.counted(finish); }
    double scale_of(std::size_t finish) const { return scale_[unit_of(finish)]; }
    /// Scaled, what the goal counts taken off.
    double worth(std::size_t finish) const {
        return alone_[finish] * scale_of(finish) - counted(finish);
    }
    std::vector<double> worths() const;  ///< #finishes
    double promised(const Choice& choice) const;
    double alone_together(const Choice& choice) const;  ///< unscaled, counted costs taken off
    std::vector<BudgetCharge> charges() const;          ///< call-outs, as the goal counts them

    /// Single savings of each unit scaled to what the re-run says of them together.
    void scale_to(const Choice& choice);
    Choice choose(double budget) const;
    /// What integer programmes promise by the worths measured about the bare building, about the
    /// dearest plan, and by the mean of both; of several the one that is best over some days.
    std::vector<Choice> choose_for_all(std::span<const double> budgets);
    /// Measures worths about the dearest plan, where that saves otherwise than its parts alone.
    void look_from_above();
    /// Programmes with worths measured about the best plan so far, while they find a better one.
    void look_about(Choice& best, double budget);
    /// What brings units that are above a limit down to it; options are finishes.
    std::vector<BudgetDemand> demands() const;
    /// What a plan is judged by: its burden, and far more any excess over a limit.
    double judged(const Choice& choice) const {
        return judged(runs_.burden(choice), runs_.excess(choice));
    }
    double judged(double burden, double excess) const {
        constexpr double heavy = 1e3;
        return burden + heavy * std::max(1.0, std::abs(runs_.burden({}))) * excess;
    }
    /// The best of the plans that the integer programme and whole re-runs find by turns.
    /// `predicted`: what the programme promised of it.
    Choice settle(double budget, double& predicted);
    struct Exchanged {
        std::size_t tried = 0;   ///< exchanges looked at
        std::size_t re_run = 0;  ///< of them, those that long steps left
    };
    /// Exchanges on one or two surfaces while they help.
    Exchanged exchange(Choice& best, double budget);
    /// Of plans of up to this cost that were run in long steps: what their finishes save alone in
    /// sum, and the share by which they saved more.
    struct Helped {
        double parts = 0, share = 0;
    };
    std::vector<Helped> helped_in_long_steps(double most_cost) const;

    PlanRuns& runs() { return runs_; }
    /// Runs to compare plans by: over some days where the goal allows it.
    PlanRuns& quick_runs() { return can_look_about() && days_.stands_for > 1 ? day_runs_ : runs_; }
    const PlanRuns& runs() const { return runs_; }
    const SurfaceQuestion& question() const { return question_; }
    const HeatInputs& trial_inputs() const { return trial_inputs_; }
    /// Of the base by trial_inputs(), [hour * n_units + unit]; empty before single savings.
    const std::vector<float>& base_cooling_w() const { return base_cooling_w_; }
    /// What limits look at, without and with a choice that was run.
    std::vector<SampledLimit> sampled_limits(const Choice& choice) const;

  private:
    Choice choose_by(std::span<const double> worths, double budget) const;
    std::vector<std::size_t> hours_of_days() const;
    bool parts_add_up(const Choice& choice) const;
    bool can_look_about() const;
    std::vector<std::size_t> worth_a_look() const;
    std::vector<double> worths_about(const Choice& choice) const;
    std::size_t unit_of(std::size_t finish) const;
    std::vector<Choice> not_ruled_out(const Choice& best, std::vector<Choice> swaps);
    double worth_exchanged(const Choice& from, const Choice& to) const;
    KeptRuns::Outcome try_finish(SurfaceId surface, const Construction& changed_to) const;
    void try_finishes(const SurfacePlanner* like, std::span<const std::uint8_t> again);

    const SurfaceQuestion question_;
    const HeatInputs trial_inputs_;
    Trace trace_;               // of the base, by trial_inputs_
    std::vector<double> bare_;  // the goal's figure of the base by trial_inputs_, #units
    std::vector<float> base_cooling_w_;
    std::optional<SurfaceTrials> trials_;
    // Where the goal looks at rooms without cooling; else nothing.
    Building free_base_;
    Trace free_trace_;
    std::optional<SurfaceTrials> free_trials_;
    // Where goal or limits look at loads of plants that have a limit; else nothing.
    Building unlimited_base_;
    Trace unlimited_trace_;
    std::optional<SurfaceTrials> unlimited_trials_;
    const Relight quick_relight_ = [this](std::span<const double> reflectance) {
        return trials_->light_with(reflectance);
    };
    // Some days that stand for all, to compare plans by and to look about one.
    const ThinnedDays days_;
    const HeatInputs day_inputs_;
    const Relight day_relight_ = [this](std::span<const double> reflectance) {
        const Exposure light = trials_->light_with(reflectance);
        return days_.stands_for > 1 ? light_of_hours(light, hours_of_days()) : light;
    };
    PlanRuns runs_, long_step_runs_, day_runs_;
    std::vector<double> alone_;  // #finishes
    // By limited unit, those of PlanRuns: the figure by trial_inputs_, what each finish takes off
    // it, how much of that re-runs leave.
    std::vector<double> bare_figures_;
    std::vector<std::vector<double>> taken_off_;  // #finishes each
    std::vector<double> figure_scale_;
    std::vector<double> scale_;       // #units
    std::vector<double> from_above_;  // worths about the dearest plan, #finishes, or none
    std::vector<double> about_best_;  // worths about the plan last looked about, #finishes, or none
};

}  // namespace noonshell
