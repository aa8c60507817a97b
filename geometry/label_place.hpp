// Where on a drawn region a label has room.
#pragma once

#include <optional>

#include "geometry/plane_region.hpp"

namespace noonshell {

/// The middle of a rectangle of this size [m] that lies wholly within the region, near the middle
/// of its largest part; none where a search on a coarse grid finds none.
std::optional<Vec2> label_place(const PlaneRegion& region, double width_m, double height_m);

}  // namespace noonshell
