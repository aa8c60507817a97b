// The whole job of `plan`: model, place, sun, then where to spend.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "cli/day_table.hpp"
#include "cli/run_analysis.hpp"
#include "solar/surface_hours.hpp"
#include "thermal/planner.hpp"

namespace noonshell {

struct PlanChoices {
    double budget = 0;
    std::optional<PlanGoal> goal;  ///< else [plan] goal
    bool preview = false;          ///< as RunChoices::preview
    TrialStore* store = nullptr;   ///< of runs made for earlier plans
    bool for_report = false;       ///< find also what a report shows: shade, heat by the hour
};

struct PlanResult {
    RunResult run;  ///< unranked; without PlanChoices::for_report also without heat
    Plan plan;
    SurfaceBins months;                         ///< of the light, 12, January first
    std::vector<std::uint8_t> month_of_hour{};  ///< 0 is January
    std::vector<double> days_of_month{};        ///< that the period has, 12
    std::optional<DayTable> mean_days{};        ///< its hours as mean days of months

    const ShadeTrial& shade_of(const PlanStep& step) const {
        return plan.shade_trials[*step.shade];
    }
    /// Of a step that is no shade.
    const Finish& finish_of(const PlanStep& step) const { return plan.finishes[step.finish]; }
    const Surface& surface_of(const PlanStep& step) const {
        return run.envelope().surfaces[finish_of(step).surface.index()];
    }
};

/// Runs everything in memory; nothing is written. Polls interrupt_flag().
PlanResult analyse_plan(SiteFile settings, const PlanChoices& choices, unsigned threads,
                        const Console& console);

}  // namespace noonshell
