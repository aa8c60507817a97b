// A layer that ribs, posts or battens of another material cross, by the combined method of
// [iso6946] 6.7.2 (from memory): the wall's resistance lies between that of sections side by side
// with no heat between them (upper limit) and that of planes of one temperature each (lower limit);
// their mean counts, off by at most (upper - lower) / 2. The standard wants upper <= 1.5 lower, and
// for metal across insulation a calculation in two dimensions where the answer matters: there the
// mean is a stated approximation.
#pragma once

#include <cstddef>
#include <span>

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

/// Of `layers` with a bridge through layer `crossed`, which must have a thickness; of a still air
/// gap the part beside the bridge resists as the gap does.
BridgedResistance bridged_resistance(std::span<const Layer> layers, std::size_t crossed,
                                     const Bridge& bridge, double films_m2k_w = wall_films_m2k_w);

/// What the crossed layer then resists, by the mean of the two [m2 K/W].
double bridged_layer_m2k_w(std::span<const Layer> layers, std::size_t crossed, const Bridge& bridge,
                           double films_m2k_w = wall_films_m2k_w);

/// One material in place of layer and bridge, with which the wall has the mean resistance; density
/// and specific heat keep the heat capacity of both. Not for a gap.
Layer bridged_layer(std::span<const Layer> layers, std::size_t crossed, const Bridge& bridge,
                    double films_m2k_w = wall_films_m2k_w);

}  // namespace noonshell
