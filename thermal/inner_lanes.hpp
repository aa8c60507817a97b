// All walls of one heat run between two rooms and between the deep ground and a room: blocks of
// eight (inner_kernels.hpp) and what they bring to the rooms.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/inner_kernels.hpp"
#include "thermal/room_solver.hpp"
#include "thermal/room_sun.hpp"

namespace noonshell {

/// Films are taken at the faces and rooms at the start of a step. `patches` must outlive it.
class InnerLanes {
  public:
    /// Cells and faces between rooms at `start_c`, those on the ground at the deep ground's.
    InnerLanes(const Patches& patches, double start_c, double deep_ground_c);

    /// Begins a step with the rooms at the end of the one before, #rooms.
    void begin(std::span<const RoomInStep> rooms, const RoomSun& sun);

    /// Adds the faces to those of their rooms, #rooms; what comes from the other side's room is
    /// left to link().
    void add_to(std::span<FaceTerms> rooms) const;

    /// The terms between the two rooms of every shared patch, first in `links`.
    void link(std::span<RoomLink> links) const;

    /// Completes the step with the rooms solved.
    void finish(std::span<const RoomInStep> rooms);

    double shared_a_w(std::size_t shared) const { return block(shared).a.inward_w[shared % n]; }
    double shared_b_w(std::size_t shared) const { return block(shared).b.inward_w[shared % n]; }
    double ground_inward_w(std::size_t ground) const { return shared_b_w(n_shared_ + ground); }
    /// Inside faces [C].
    double shared_a_c(std::size_t shared) const { return block(shared).a.face_c[shared % n]; }
    double shared_b_c(std::size_t shared) const { return block(shared).b.face_c[shared % n]; }
    double ground_inside_c(std::size_t ground) const { return shared_b_c(n_shared_ + ground); }
    /// Every cell's temperature, shared walls first.
    void append_cells_c(std::vector<double>& all) const;
    /// Moves every cell, in that order [K].
    void shift_cells(std::span<const double> by_k);

  private:
    static constexpr std::size_t n = lanes_per_block;
    struct RoomPair {
        std::uint32_t a = 0, b = 0;
    };
    const InnerBlock& block(std::size_t wall) const { return blocks_[wall / n]; }
    const LayeredWall& wall(std::size_t number) const;
    void read_rooms(std::span<const RoomInStep> rooms);

    const Patches& patches_;
    std::size_t n_shared_;
    std::vector<InnerBlock> blocks_;  // shared patches, then those on the ground
    std::vector<RoomPair> rooms_;     // of each; on the ground that of b twice
};

}  // namespace noonshell
