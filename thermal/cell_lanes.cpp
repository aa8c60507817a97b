#include "thermal/cell_lanes.hpp"

#include "geometry/diagnostics.hpp"

namespace noonshell {

void WallLanes::put(std::size_t lane, const LayeredWall& wall, std::span<const double> cells_c) {
    NOONSHELL_CHECK_EQ(cells_c.size(), wall.n_cells());
    NOONSHELL_CHECK_LE(wall.n_cells(), cells.size());
    const TwoPort port = wall.port();
    aa[lane] = port.aa;
    ab[lane] = port.ab;
    bb[lane] = port.bb;
    if (wall.n_cells() == 0) return;
    from_a_w_m2k[lane] = wall.outer_conductance_w_m2k();
    cells[wall.n_cells() - 1].to_b_w_m2k[lane] = wall.inner_conductance_w_m2k();
    for (std::size_t i = 0; i < wall.n_cells(); ++i) {
        const CellStep step = wall.cell_step(i);
        CellLanes& cell = cells[i];
        cell.past[lane] = step.past;
        cell.lower[lane] = step.lower;
        cell.upper[lane] = step.upper;
        cell.response_a[lane] = step.response_a;
        cell.response_b[lane] = step.response_b;
        cell.now_c[lane] = cell.before_c[lane] = cells_c[i];
    }
}

}  // namespace noonshell
