// The cube root of free convection, h = C |dT|^(1/3): taken for every face at every step. Several
// times as fast here as std::cbrt, which splits the number by library calls, and without a branch,
// so that a loop of it becomes vector code.
#pragma once

#include <algorithm>
#include <bit>
#include <cstdint>

namespace noonshell {

/// Cube root of x >= 0 to 1e-12 of itself; 0 below 1e-30.
inline double cube_root(double x) {
    constexpr double least = 1e-30;
    const double used = std::max(x, least);
    // A third of the exponent by dividing the bit pattern's upper half (times 2^32 / 3): within 4
    // %. Halley's method then cubes the error twice.
    const std::uint64_t third = ((std::bit_cast<std::uint64_t>(used) >> 32) * 0x55555556ull) >> 32;
    double y = std::bit_cast<double>((third << 32) + 0x2A9F7893782DA1CEull);
    for (int i = 0; i < 2; ++i) {
        const double cube = y * y * y;
        y *= (cube + 2 * used) / (2 * cube + used);
    }
    return x < least ? 0.0 : y;
}

}  // namespace noonshell
