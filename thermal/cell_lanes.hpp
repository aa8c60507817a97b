// Conduction in eight walls side by side, so that one instruction serves several: the cells of
// LayeredWall as lanes, and the two loops of a step over them. For the kernels alone.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "thermal/layered_wall.hpp"

// Compiled once for each width of the processor's registers and chosen at the start of the program.
// Every lane goes through the same operations in the same order, none of them fused, so that the
// bytes are the same on all.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define NOONSHELL_EVERY_WIDTH __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define NOONSHELL_EVERY_WIDTH
#endif
// Inlined into every width of its callers.
#define NOONSHELL_INLINE inline __attribute__((always_inline))

namespace noonshell {

inline constexpr std::size_t lanes_per_block = 8;

/// The same quantity of eight walls.
struct alignas(64) Lanes {
    std::array<double, lanes_per_block> of{};

    double& operator[](std::size_t lane) { return of[lane]; }
    double operator[](std::size_t lane) const { return of[lane]; }
};

/// One cell in each of eight walls; see CellStep. A wall with fewer cells than others of its block
/// has cells of zeros behind its last one.
struct CellLanes {
    Lanes past, lower, upper, response_a, response_b;
    Lanes to_b_w_m2k;  ///< conductance to face b at the wall's last cell, else 0
    Lanes now_c, before_c, particular_c;
};

/// Eight walls between their faces a and b. A lane without a wall has no cells.
struct WallLanes {
    Lanes aa, ab, bb;    ///< see TwoPort
    Lanes from_a_w_m2k;  ///< from face a to the first cell
    Lanes r_a, r_b;      ///< of the coming step, from the walls' past
    std::vector<CellLanes> cells;

    WallLanes() {  // figures that divide nothing by zero
        aa.of.fill(1);
        bb.of.fill(1);
    }

    /// Puts a wall into a lane, its cells at `cells_c` (#cells of the wall). `cells` are enough.
    void put(std::size_t lane, const LayeredWall& wall, std::span<const double> cells_c);
};

/// The two-port of the coming step, as LayeredWall::prepare.
NOONSHELL_INLINE void prepare_lanes(WallLanes& walls) {
    Lanes last, to_b;
    for (CellLanes& cell : walls.cells) {
        for (std::size_t k = 0; k < lanes_per_block; ++k) {
            last[k] = cell.past[k] * (2.0 * cell.now_c[k] - 0.5 * cell.before_c[k]) +
                      cell.lower[k] * last[k];
            cell.particular_c[k] = last[k];
        }
    }
    last = {};
    for (std::size_t i = walls.cells.size(); i-- > 0;) {
        CellLanes& cell = walls.cells[i];
        for (std::size_t k = 0; k < lanes_per_block; ++k) {
            last[k] = cell.particular_c[k] + cell.upper[k] * last[k];
            cell.particular_c[k] = last[k];
            to_b[k] += cell.to_b_w_m2k[k] * last[k];
        }
    }
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        walls.r_a[k] = walls.from_a_w_m2k[k] * last[k];
        walls.r_b[k] = to_b[k];
    }
}

/// The cells at the end of the step, as LayeredWall::advance.
NOONSHELL_INLINE void advance_lanes(WallLanes& walls, const Lanes& face_a_c,
                                    const Lanes& face_b_c) {
    const Lanes a_c = face_a_c, b_c = face_b_c;  // that no cell can be
    for (CellLanes& cell : walls.cells) {
        for (std::size_t k = 0; k < lanes_per_block; ++k) {
            cell.before_c[k] = cell.now_c[k];
            cell.now_c[k] =
                cell.particular_c[k] + cell.response_a[k] * a_c[k] + cell.response_b[k] * b_c[k];
        }
    }
}

}  // namespace noonshell
