// Straight views of a building from far away: from above and from its four sides.
#pragma once

#include <array>

#include "geometry/convex_polygon.hpp"
#include "geometry/envelope.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// Unit vectors at right angles, in model axes; `right` and `up` are those of the picture.
struct ViewFrame {
    Vec3 right, up, toward_viewer;

    Vec2 place_m(const Vec3& point_m) const { return {right.dot(point_m), up.dot(point_m)}; }
    double height_m(const Vec3& point_m) const { return toward_viewer.dot(point_m); }
};

/// From the side that the compass azimuth names, level; up is up.
ViewFrame view_from_side(double azimuth_deg, double north_deg);

/// From above; the compass azimuth points up in the picture.
ViewFrame view_from_above(double azimuth_up_deg, double north_deg);

/// The four compass azimuths [deg] that the walls of the building face for the most part, by area
/// and at right angles to each other: the one nearest to north, then clockwise.
std::array<double, 4> main_sides_deg(const Envelope& envelope);

}  // namespace noonshell
