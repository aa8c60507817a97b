// noonshell plan SITE.toml --budget N
#pragma once

#include <filesystem>
#include <optional>

#include "cli/console.hpp"
#include "cli/plan_analysis.hpp"

namespace noonshell {

struct PlanRequest {
    std::filesystem::path site_file;
    std::optional<std::filesystem::path> output;  ///< else as of `run`
    unsigned threads = 0;                         ///< 0: all
    PlanChoices choices;
};

/// Plans, writes plan.html, plan.json, plan.csv and frontier.csv together and prints the page or
/// the JSON document.
void plan(const PlanRequest& request, const Console& console);

}  // namespace noonshell
