// All walls in the open of one heat run: blocks of eight (open_kernels.hpp), claddings between
// their outside and the wall, and what they bring to the rooms.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/open_kernels.hpp"
#include "thermal/room_solver.hpp"

namespace noonshell {

/// What the accounts of one step say of a wall [W per m2 of its outside].
struct OutsideBalance {
    double exact = 0;  ///< net heat into the outermost face, nothing linearised
    double taken = 0;  ///< what wall and cladding took
};

/// How much more than settle_k a face may move that is linearised by its tangent: the square of
/// 0.2 K times the bend of longwave and free convection is some 0.02 W/m2.
inline constexpr double tangent_over_network = 10;

class OpenLanes {
  public:
    /// All cells and faces at `start_c`. A face that moves less than `settle_k` in a turn (ten
    /// times that without a cladding) has settled. `patches` must outlive this.
    OpenLanes(const Patches& patches, OutsideConvection model, double step_s, double settle_k,
              double start_c);

    /// Begins a step. `conditions` are at its end, one per open patch in front; `floor_sun_w_m2`
    /// falls on the inside of floors, #rooms.
    void begin(std::span<const FaceConditions> conditions, std::span<const double> floor_sun_w_m2,
               double pressure_pa, double wind_m_s);

    /// Linearises the walls of all blocks that have not settled.
    void line(std::span<const RoomInStep> rooms);

    /// Adds all faces to their rooms.
    void add_to(std::span<RoomInStep> rooms) const;

    /// Faces from the rooms solved; true when all have settled where they were linearised.
    bool close(std::span<const RoomInStep> rooms);

    /// The balances of this step, #open; to be called before finish().
    void balances(std::vector<OutsideBalance>& out);

    /// The gap behind a patch's cladding as balances() found it; empty without one.
    const GapNetwork& gap(std::size_t patch) const { return gaps_[patch]; }

    /// Completes the step.
    void finish();

    double inside_c(std::size_t patch) const { return block(patch).inside_now_c[patch % n]; }
    double wall_face_c(std::size_t patch) const { return block(patch).face_now_c[patch % n]; }
    double outermost_c(std::size_t patch) const { return block(patch).sheet_now_c[patch % n]; }
    double inward_w(std::size_t patch) const { return block(patch).inward_w[patch % n]; }
    double steel_c(std::size_t patch) const;  ///< under any treatment
    /// Moves a cell, now and at the step before [K].
    void shift_cell(std::size_t patch, std::size_t cell, double by_k) {
        CellLanes& c = blocks_[patch / n].walls.cells[cell];
        c.now_c[patch % n] += by_k;
        c.before_c[patch % n] += by_k;
    }
    double cell_c(std::size_t patch, std::size_t cell) const {
        return block(patch).walls.cells[cell].now_c[patch % n];
    }

  private:
    static constexpr std::size_t n = lanes_per_block;
    const OpenBlock& block(std::size_t patch) const { return blocks_[patch / n]; }
    void set_constants(std::size_t patch, double start_c);
    void read_rooms(OpenBlock& block, std::size_t first, std::span<const RoomInStep> rooms) const;
    void hang_cladding(std::size_t patch);
    double sheet_past_w_m2(std::size_t patch) const;

    const Patches& patches_;
    OutsideConvection model_;
    double step_s_;
    double pressure_pa_ = 0, wind_m_s_ = 0;
    std::vector<OpenBlock> blocks_;
    std::vector<std::uint32_t> room_;    // #lanes
    std::vector<std::uint32_t> clad_;    // patches with a cladding
    std::vector<double> air_speed_m_s_;  // #open, in the cladding's gap
    std::vector<GapNetwork> gaps_;       // #open
};

}  // namespace noonshell
