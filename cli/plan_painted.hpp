// What a plan buys, painted on the user's model.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/plan_analysis.hpp"

namespace noonshell {

/// One thing that surfaces can be finished with, and its colour.
struct PlanColour {
    std::string finish;
    Rgb colour{};
};

/// The finishes that the plan buys, in the order in which they are first bought.
std::vector<PlanColour> plan_colours(const PlanResult& result);

/// "white coating #fff0b8, other faces as they were".
std::string painted_legend(const PlanResult& result);

/// The bytes of coloured-plan.step: faces by what they are finished with, the plan's shades
/// among the added bodies. Warnings are added to those of the run.
std::string painted_plan_bytes(PlanResult& result, const std::filesystem::path& folder);

}  // namespace noonshell
