// Suns of a long period on a grid of declination and hour angle: the sun walks much the same
// circles day after day, and every one of them twice a year, so that shadows need to be known at
// few places of the sky only.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/vec3.hpp"
#include "solar/sun_path.hpp"

namespace noonshell {

/// One weather hour with sun: its steps are [begin, end) of the sun path.
struct SunRow {
    std::uint32_t begin = 0, end = 0;
    double direct_normal_w_m2 = 0, circumsolar_w_m2 = 0;
    std::uint32_t bin = 0;
};

/// Grid lines lie at the latitudes and longitudes about SunPath::pole. Every step is read from four
/// by four nodes by cubic convolution [keys1981] (a = -1/2), which holds quadratics: a linear
/// reading would see more light wherever its strength grows faster than in proportion, as that of
/// low suns does. At the ends of a line the value beyond is the continued straight line.
struct SunGrid {
    static constexpr std::size_t stencil = 16;

    std::vector<Vec3> node;  ///< unit; some below the horizon
    /// Nodes of every step of the rows and their weights, which sum to 1; some are negative. Those
    /// of other steps mean nothing.
    std::vector<std::array<std::uint32_t, stencil>> nodes_of_step;
    std::vector<std::array<float, stencil>> weights_of_step;

    bool empty() const { return node.empty(); }
};

/// The grid of all steps of the rows, its nodes at most so far apart (both above 0, else
/// InputError). Holds only nodes that a step is read from; empty where they are not much fewer than
/// the steps, or where the path has no pole.
SunGrid sun_grid(const SunPath& path, std::span<const SunRow> rows, double declination_step_deg,
                 double hour_angle_step_deg);

}  // namespace noonshell
