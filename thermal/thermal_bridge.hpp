// Layers that ribs, posts or battens of another material cross, by the combined method of [iso6946]
// 6.7.2 (from memory): the wall's resistance lies between that of sections side by side with no
// heat between them (upper limit) and that of planes of one temperature each (lower limit); their
// mean counts, off by at most (upper - lower) / 2. The standard wants upper <= 1.5 lower, and for
// metal across insulation a calculation in two dimensions where the answer matters: there the mean
// is a stated approximation.
#pragma once

#include <span>
#include <vector>

#include "thermal/construction.hpp"

namespace noonshell {

/// Resistances of a whole wall, surface resistances included [m2 K/W].
struct BridgedResistance {
    double upper_m2k_w = 0, lower_m2k_w = 0;
    double mean_m2k_w() const { return (upper_m2k_w + lower_m2k_w) / 2; }
    /// The standard's largest relative error of the mean.
    double largest_error() const { return (upper_m2k_w - lower_m2k_w) / (2 * mean_m2k_w()); }
};

/// Sum of the surface resistances in and out of a wall, [iso6946].
inline constexpr double wall_films_m2k_w = 0.13 + 0.04;

/// Bridges that cross each other, at most in a wall and in what is put before it; one that goes on
/// counts once.
inline constexpr std::size_t most_bridges = 3;

/// Of layers as they are beside their bridges (a slab's own material, a gap's own resistance).
/// Bridges of several layers cross each other, so that shares multiply, but for one that goes on
/// from the layer before. A crossed layer must have a thickness.
BridgedResistance bridged_resistance(std::span<const Layer> layers,
                                     double films_m2k_w = wall_films_m2k_w);

/// Gives every crossed layer what it then resists by the mean of the two, several in proportion to
/// their lower limits: a gap its resistance, a slab one material in place of it and its bridge,
/// with the heat capacity of both (that of battens in a gap is left out). `layers` as above.
/// Returns the wall's limits.
BridgedResistance put_bridges(std::vector<Layer>& layers, double films_m2k_w = wall_films_m2k_w);

}  // namespace noonshell
