// Private to geometry/: where a line through some bodies runs free of matter, whichever of them it
// crosses and however deep they run into each other.
#pragma once

#include <span>
#include <vector>

#include "geometry/ray_mesh.hpp"

namespace noonshell {

struct LineStretch {
    double low_m = 0, high_m = 0;  ///< along the line
};

/// Where matter lies: from where the line enters a solid to where it leaves it, solid by solid, in
/// the order in which they end. What a solid's crossings leave open counts for nothing.
std::vector<LineStretch> matter_stretches(std::span<const RayMesh::Crossing> crossings);

/// Stretches of at least `least_m` between two crossings (by distance), free of the matter of every
/// solid: a panel that another panel runs through lies in it to the end of both. Shells bound a
/// stretch and hold no matter.
std::vector<LineStretch> free_stretches(std::span<const RayMesh::Crossing> crossings,
                                        double least_m);

}  // namespace noonshell
