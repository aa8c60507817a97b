// Where a body stands, how large it is and which way it lies: what two versions of a model are
// compared by. Turning or mirroring a body about the vertical leaves its sizes as they are.
#pragma once

#include <span>

#include "geometry/model.hpp"

namespace noonshell {

/// The upright box, turned with the walls, that just holds a body or a group of bodies.
struct PlacedShape {
    Vec3 centre_m{0, 0, 0};
    Vec3 sizes_m{0, 0, 0};   ///< longer side, shorter side, height
    double heading_deg = 0;  ///< of the longer side, counter-clockwise from +X, in [0, 180)
    bool round = false;      ///< no heading: its upright faces look all ways alike
    double area_m2 = 0;      ///< of the B-rep
    double volume_m3 = 0;
    bool empty = true;  ///< no triangles
};

PlacedShape placed_shape(const Model& model, std::span<const BodyId> bodies);

}  // namespace noonshell
