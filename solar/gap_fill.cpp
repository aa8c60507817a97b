#include "solar/gap_fill.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

std::vector<Gap> find_gaps(std::span<const double> values) {
    std::vector<Gap> gaps;
    const std::size_t n = values.size();
    for (std::size_t i = 0; i < n; ++i) {
        if (!std::isnan(values[i])) continue;
        if (!gaps.empty() && gaps.back().begin + gaps.back().length == i)
            ++gaps.back().length;
        else
            gaps.push_back({i, 1});
    }
    const bool wraps =
        gaps.size() > 1 && gaps.front().begin == 0 && gaps.back().begin + gaps.back().length == n;
    if (wraps) {
        gaps.back().length += gaps.front().length;
        gaps.erase(gaps.begin());
    }
    return gaps;
}

void fill_gap(std::span<double> values, const Gap& gap, double full_circle) {
    const std::size_t n = values.size();
    NOONSHELL_CHECK_LT(gap.length, n);
    const double before = values[(gap.begin + n - 1) % n];
    double rise = values[(gap.begin + gap.length) % n] - before;
    if (full_circle > 0) rise = std::remainder(rise, full_circle);
    for (std::size_t i = 0; i < gap.length; ++i) {
        double value =
            before + rise * static_cast<double>(i + 1) / static_cast<double>(gap.length + 1);
        if (full_circle > 0) value -= full_circle * std::floor(value / full_circle);
        values[(gap.begin + i) % n] = value;
    }
}

}  // namespace noonshell
