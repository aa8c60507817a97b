// Some days of a period that stand for all.
#pragma once

#include "solar/exposure.hpp"
#include "thermal/surroundings.hpp"

namespace noonshell {

struct ThinnedDays {
    Exposure exposure;
    Surroundings surroundings;
    double stands_for = 1;  ///< days of the period for every day kept
};

/// Every n-th day, from the middle of the first n, so that at most `most_days` are left; each
/// follows the one before it as if it were the next. A shorter period is kept whole. Of the
/// exposure only what a heat run needs.
ThinnedDays thinned_days(const Exposure& exposure, const Surroundings& surroundings,
                         std::size_t most_days);

}  // namespace noonshell
