// The room inside a set of bodies: how large it is, found from the inside.
#pragma once

#include <array>
#include <span>
#include <string>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// Upright lines through the bodies stand this far apart [m].
inline constexpr double enclosure_line_step_m = 0.06;

/// A free height is part of a room when no more than this share of the directions from its middle
/// is open, and when it is at least `least_room_height_m` high.
inline constexpr double most_room_openness = 0.36;
inline constexpr double least_room_height_m = 1.5;

struct Enclosure {
    double floor_area_m2 = 0;  ///< what the room covers in plan, inside measure; storeys add up
    double volume_m3 = 0;      ///< inside measure
    int n_rooms = 0;           ///< parts of at least a square metre that do not hang together
    double loggia_m2 = 0;      ///< roofed parts before a room, open to a side: no room themselves
    double mouth_share = 0;    ///< of the floor area, close to open sides
    bool found() const { return volume_m3 > 0; }
};

/// Where the room is, line by line.
struct RoomPlan {
    Vec3 u{1, 0, 0}, v{0, 1, 0};        ///< level axes of the grid of lines, along the walls
    double low_u_m = 0, low_v_m = 0;    ///< where the grid begins, along u and v
    double step_u_m = 0, step_v_m = 0;  ///< between lines
    std::size_t n_u = 0, n_v = 0;
    /// #n_v by n_u: lower and upper ends of the room above each cell [m], storey by storey from
    /// below; none where it is none.
    std::vector<std::vector<std::array<double, 2>>> storeys_m;
    /// The same of loggias; empty where there are none.
    std::vector<std::vector<std::array<double, 2>>> loggias_m{};

    /// Whether a point lies in the room, to the size of a cell.
    bool holds(const Vec3& point_m) const { return holds(storeys_m, point_m); }
    /// Whether it lies in a loggia.
    bool holds_in_loggia(const Vec3& point_m) const { return holds(loggias_m, point_m); }
    /// The middle of a cell, at height 0.
    Vec3 middle_of(std::size_t cell) const;

  private:
    bool holds(const std::vector<std::vector<std::array<double, 2>>>& heights_m,
               const Vec3& point_m) const;
};

/// Measures the room within `bodies`: along upright lines on a jittered grid every free height
/// between two hits counts, storey by storey, where it is free of matter and its middle is
/// enclosed, and from there on as far as no more than half of
/// the directions are open: up to the plane of an open end. Hollows of walls and posts are no room
/// (room_space.hpp). A part of which a good share lies at an open side is a loggia and no room
/// where another part is closed, even with a doorway between. Bodies without a floor of their own
/// are closed by the ground at `ground_z_m` (not a number: nothing closes them). Accurate to about
/// half a percent for a room of 6 by 2.4 m; doors and gaps do no harm. Fills `plan` where it is
/// given. `least_walls` of the four sides have walls about each place that the room begins from:
/// fewer than three are a shelter, unless the user says that it is a room.
Enclosure measure_enclosure(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
                            double ground_z_m, RoomPlan* plan = nullptr, int least_walls = 0);

}  // namespace noonshell
