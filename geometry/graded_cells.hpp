// Square cells over a rectangle, the smaller the nearer they lie to given lines.
#pragma once

#include <vector>

#include "geometry/convex_polygon.hpp"

namespace noonshell {

struct PlaneSegment {
    Vec2 a{0, 0}, b{0, 0};
};

/// Cells of one size, as strips of cells side by side.
struct CellLevel {
    double cell_m = 0;  ///< longer edge
    std::vector<ConvexPolygon> strips;
    std::size_t n_cells = 0;
};

/// Cuts the rectangle into equal cells no longer than `cell_m`, then these into quarters, and these
/// again, as long as a line is nearer than the cell is long and its half is no shorter than
/// `finest_m`. Levels from coarse to fine, those without cells too.
std::vector<CellLevel> graded_cells(const Vec2& low, const Vec2& high, double cell_m,
                                    double finest_m, const std::vector<PlaneSegment>& lines);

}  // namespace noonshell
