// Where walls and groups of units stand, as shades need to know it: frames with their extents.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/model.hpp"

namespace noonshell {

/// A wall seen from outside. Lengths along `right` and `outward` are measured from the origin.
struct WallFrame {
    Vec3 outward{0, 1, 0};  ///< level
    Vec3 right{1, 0, 0};    ///< level, to the right seen from outside
    double left_m = 0, right_m = 0;
    double foot_m = 0, top_m = 0;  ///< heights
    double face_m = 0;             ///< of the outermost point, along `outward`

    double width_m() const { return right_m - left_m; }
    double height_m() const { return top_m - foot_m; }
    /// The point `along_m` from the wall's middle, `above_m` above its foot, `off_m` off its face.
    Vec3 point(double along_m, double above_m, double off_m) const;
    /// From the rectangle of the wall to a point before it [m]; what lies behind counts as on it.
    double distance_m(const Vec3& at_m) const;
};

/// Throws InvariantError for a surface that is level.
WallFrame frame_of_wall(const Model& model, const Surface& surface);

/// The rectangle about the plan of some units, along the longest of their walls.
struct PlanFrame {
    Vec3 north{0, 1, 0};  ///< the rectangle's axis nearest to true north: less than 45 degrees from
                          ///< it, or 45 degrees west of it
    Vec3 east{1, 0, 0};   ///< clockwise of `north` by 90 degrees
    double west_m = 0, east_m = 0, south_m = 0, north_m = 0;  ///< along the axes, from the origin
    double bottom_m = 0, top_m = 0;                           ///< heights
};

PlanFrame frame_of_units(const Model& model, const Envelope& envelope,
                         std::span<const UnitId> units);

/// Corners of all triangles of a surface, three by three.
std::vector<Vec3> triangle_corners(const Model& model, const Surface& surface);

}  // namespace noonshell
