// Plants that a run shows to be too small.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "cli/run_analysis.hpp"

namespace noonshell {

inline constexpr std::string_view small_plant_code = "plant-too-small";

/// What would do, where the plant of `unit` leaves more than 1 % of the period's hours too warm;
/// `needed_w`: rated capacity that meets every hour. With `savings_told` also what it means for
/// savings.
std::optional<Warning> small_plant_warning(const RunResult& result, std::size_t unit,
                                           double not_met_h, double needed_w, bool savings_told);

}  // namespace noonshell
