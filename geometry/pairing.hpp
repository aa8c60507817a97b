// One-to-one pairing of things that stand near each other, the nearest pair first.
#pragma once

#include <functional>
#include <limits>
#include <vector>

#include "geometry/common_move.hpp"
#include "geometry/shape_tree.hpp"

namespace noonshell {

/// Distances closer than this are ties [m]; they go to pairs that `alike` names, then to the first
/// of the list.
inline constexpr double pairing_tie_m = 1e-6;

struct Pairing {
    std::function<bool(std::uint32_t, std::uint32_t)> allowed;  ///< empty: every pair
    std::function<bool(std::uint32_t, std::uint32_t)> alike;    ///< empty: none
    double farthest_m = std::numeric_limits<double>::infinity();
};

/// Pairs of entries of the two lists, which are indices into the points: no pair left would be
/// nearer than what both of its ends have got. The same pairs whichever side is called the old one.
std::vector<IndexPair> pair_nearest(const std::vector<ShapePoint>& old_points,
                                    std::vector<std::uint32_t> olds,
                                    const std::vector<ShapePoint>& new_points,
                                    std::vector<std::uint32_t> news, const Pairing& how);

}  // namespace noonshell
