// Which of the planned shades to build, and how large.
#pragma once

#include <cstddef>
#include <map>
#include <set>
#include <vector>

#include "thermal/plan_scenes.hpp"

namespace noonshell {

/// Looks for the plan with the least burden within the budget among all sizes of all planned
/// shades. Without planned shades it is SurfacePlanner::settle().
class ShadeSearch {
  public:
    /// Single savings of the building as it is must have been found.
    ShadeSearch(PlanScenes& scenes, const SurfaceQuestion& question)
        : scenes_(scenes), question_(question), scale_(question.options.shades.size(), 1.0) {}

    /// Tries the first sizes of every shade alone, and the longest reach that the budget pays for
    /// where that lies between them. Then by turns: an integer programme over
    /// finishes and shades of every size tried, in which a finish loses what light the shade keeps
    /// off it (or what was seen, where the shade stood alone before); the scenery of its plan
    /// traced, its surfaces planned with single savings tried again where the light has changed,
    /// and re-run. Then sceneries that differ by one shade or one step of size, the most promising
    /// first. Last, golden section along each open length of the shades that stand.
    /// `predicted`: what was promised of the plan.
    WholeChoice find(double budget, double& predicted);

    /// No plan saves more, if purchases never help each other: the optimum over what everything
    /// saves alone, less what shades take from the finishes under them.
    double most_alone(double budget) const;
    double alone_together(const WholeChoice& whole) const;
    /// The scenes whose surfaces have been planned.
    const std::set<Built>& planned() const { return planned_; }

  private:
    struct Words;  // of the integer programme
    Words words(bool scaled) const;
    /// Of what a finish saves alone, unscaled, what a shade takes from it.
    double lost(std::size_t finish, std::size_t trial) const;
    std::vector<BudgetDemand> demands() const;  ///< as of the bare building's, with trials
    WholeChoice choose(double budget) const;
    double promised(const Built& built, double budget) const;
    WholeChoice plan_on(const Built& built, double budget, double& predicted);
    void learn(const Built& built);
    void try_first_sizes(double budget);
    void take_turns(double budget, WholeChoice& best, double& predicted);
    void step_aside(double budget, WholeChoice& best, double& predicted);
    void refine(double budget, WholeChoice& best, double& predicted);
    bool take_if_better(const Built& built, double budget, WholeChoice& best, double& predicted);
    std::vector<Built> neighbours(const Built& built) const;
    double quick_burden(const Built& built, double budget, const SurfacePlanner& like);

    PlanScenes& scenes_;
    const SurfaceQuestion& question_;
    std::vector<double> scale_;  // of what shades save alone, #shades
    std::set<Built> planned_;
};

}  // namespace noonshell
