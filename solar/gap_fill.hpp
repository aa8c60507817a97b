// Gaps in an hourly series and the straight lines that close them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace noonshell {

/// A run of missing entries; it may wrap from the end of the series to its beginning.
struct Gap {
    std::size_t begin = 0;
    std::size_t length = 0;
};

/// Runs of NaN in a periodic series, in order of `begin`; a series of nothing but NaN is one gap.
std::vector<Gap> find_gaps(std::span<const double> values);

/// Closes the gap by a straight line between its two neighbours. With `full_circle` above 0 (360
/// for a compass direction) the line takes the shorter way round and stays in [0, full_circle).
void fill_gap(std::span<double> values, const Gap& gap, double full_circle = 0);

}  // namespace noonshell
