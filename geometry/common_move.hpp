// The one move that carries a whole model from its old version to the new one: shifted, turned,
// mirrored, or drawn in another unit of length.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "geometry/placed_shape.hpp"

namespace noonshell {

/// Two bodies stand in the same place when their centres are closer than this [m].
inline constexpr double same_place_m = 0.001;
/// Two bodies are equally large when no side differs by more than this [m].
inline constexpr double same_size_m = 0.001;
/// A move is the whole model's only if at least this share of the bodies goes along with it.
inline constexpr double whole_model_share = 2.0 / 3.0;
/// A scale is looked for only beyond this: the least that tells units of length apart.
inline constexpr double same_scale_ratio = 1.005;

/// new = scale * turn * mirror * old + shift. The turn is about the vertical axis through the
/// model's origin; the mirror changes the sign of x and comes first.
struct CommonMove {
    double scale = 1;
    bool mirrored = false;
    double turn_deg = 0;  ///< counter-clockwise seen from above, in (-180, 180]
    Vec3 shift_m{0, 0, 0};

    bool none() const {
        return scale == 1 && !mirrored && turn_deg == 0 && shift_m == Vec3::Zero();
    }
    Vec3 direction(const Vec3& old_direction) const;  ///< turned and mirrored; keeps its length
    Vec3 point(const Vec3& old_point_m) const { return scale * direction(old_point_m) + shift_m; }
    double heading_deg(double old_heading_deg) const;  ///< in [0, 180)
};

/// Old index and new index.
using IndexPair = std::pair<std::uint32_t, std::uint32_t>;

/// The move under which most bodies of the old model find one of their own size in their place in
/// the new one; bodies in `named`, known to be the same by their names, must find each other. The
/// simplest of equals: none before a shift, a shift before a turn, a turn before a mirror. No move
/// where less than `whole_model_share` of the smaller model goes along, or where no more bodies do
/// than without any move. In models of more than 600 bodies the first move that enough of them go
/// along with is taken.
CommonMove find_common_move(const std::vector<PlacedShape>& old_shapes,
                            const std::vector<PlacedShape>& new_shapes,
                            const std::vector<IndexPair>& named);

/// "the whole model moved by (1.000, 0.000, 0.000) m"; says so where a unit of length looks
/// mistaken; empty for no move.
std::string describe(const CommonMove& move);

}  // namespace noonshell
