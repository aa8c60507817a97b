// Evenly spread points in many dimensions.
#pragma once

#include <cstddef>
#include <vector>

namespace noonshell {

/// `n` points of a shifted lattice in the unit cube, [point * n_dimensions + dimension], each in
/// [0, 1): point k is the fractional part of k z / n + shift. The generating vector z is built
/// component by component for the least worst-case error of order 2, [sloan2002] (from memory),
/// with weights that fall as 1/j^2. In every dimension one point lies in each of n equal intervals.
/// Another `seed` gives another shift.
std::vector<double> lattice_points(std::size_t n, std::size_t n_dimensions, unsigned seed = 0);

}  // namespace noonshell
