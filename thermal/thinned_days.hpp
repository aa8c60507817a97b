// Some days of a period that stand for all.
#pragma once

#include <optional>
#include <vector>

#include "thermal/simulate.hpp"

namespace noonshell {

struct ThinnedDays {
    Exposure exposure;
    Surroundings surroundings;
    std::optional<PaneLight> panes;
    double stands_for = 1;          ///< days of the period for every day kept
    std::vector<std::size_t> days;  ///< of the period that are kept
};

/// Every n-th day, from the middle of the first n, so that at most `most_days` are left; each
/// follows the one before it as if it were the next. A shorter period is kept whole. Of the
/// exposure only what a heat run needs.
ThinnedDays thinned_days(const HeatInputs& inputs, std::size_t most_days);

/// The light of certain hours: of an exposure what a heat run needs.
Exposure light_of_hours(const Exposure& all, const std::vector<std::size_t>& hours);

}  // namespace noonshell
