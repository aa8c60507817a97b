// Hours that are read from a grid of suns, kept within what light can be.
#pragma once

#include <cstddef>
#include <span>

#include "solar/faced_suns.hpp"
#include "solar/group_tracer.hpp"

namespace noonshell {

/// `rows`: lit cosines of all rows as LitTable::read_row() gives them, [row * stride + column].
/// Readings between nodes swing beyond dark and wholly lit where a shadow passes. Rows are cut off
/// at both; a column's rows of a bin are then scaled so that its direct light over the bin stays.
void keep_in_bounds(const SunRun& run, const FacedSuns& suns, const LitTable& table,
                    std::size_t n_bins, std::span<float> rows);

}  // namespace noonshell
