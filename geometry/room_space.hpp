// Private to geometry/: the space of a room over a plan of cells: free heights in several storeys,
// the hollows of walls taken out, and the rooms that hang together counted.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// A stretch of an upright line without matter, high enough for a room.
struct FreeHeight {
    double low_m = 0, high_m = 0;  ///< above the foot of its line
    Vec3 middle_m{0, 0, 0};
    double openness = 1;  ///< of its middle
    bool in_room = false;
    bool in_loggia = false;

    double height_m() const { return high_m - low_m; }
};

/// Cells of a plan, `n_u` of them in a row, each with its free heights from below.
struct PlanCells {
    std::size_t n_u = 1, n_v = 1;
    Vec3 u{1, 0, 0};     ///< level, along a row
    double size_m = 0;   ///< of a cell's longer side
    double area_m2 = 0;  ///< of a cell
    std::vector<std::vector<FreeHeight>> free;

    template <class Visit>
    void for_each_neighbour(std::size_t at, const Visit& visit) const {
        if (at % n_u > 0) visit(at - 1);
        if (at % n_u + 1 < n_u) visit(at + 1);
        if (at >= n_u) visit(at - n_u);
        if (at + n_u < n_u * n_v) visit(at + n_u);
    }
};

/// What is narrower than this across is the hollow of a wall or a post and no room [m].
inline constexpr double least_room_width_m = 0.30;

/// Smaller parts of the plan are no rooms of their own [m2].
inline constexpr double least_room_m2 = 1;

/// What is wider parts no rooms [m].
inline constexpr double widest_doorway_m = 1.2;

/// Height that two free heights share; negative where they share none [m].
double shared_height_m(const FreeHeight& a, const FreeHeight& b);

/// Takes out of the room what is narrower than `least_room_width_m` and neither seen from nor
/// beside what is wider: wall cavities, hollow posts. Corners, folds of sheet and niches stay.
void drop_hollows(PlanCells& cells, const RayMesh& mesh);

/// What hangs together of a room.
struct RoomPart {
    std::vector<std::pair<std::size_t, std::size_t>> free;  ///< cells and their free heights
    double area_m2 = 0;
};

/// Parts of the room that do not hang together: from line to line nothing may stand between, low
/// and high, so that a doorway joins and a hatch does not.
std::vector<RoomPart> room_parts(const PlanCells& cells, const RayMesh& mesh,
                                 double least_shared_m);

/// A part of the room cut where it is no wider than a doorway (1.2 m): chambers with doorways
/// between them. What is as narrow all along goes to the chamber that it leads to.
std::vector<RoomPart> parted_at_doorways(const RoomPart& part, const PlanCells& cells,
                                         const RayMesh& mesh, double least_shared_m);

}  // namespace noonshell
