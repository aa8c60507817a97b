#include "thermal/open_lanes.hpp"

#include "thermal/bdf2.hpp"

namespace noonshell {

OpenLanes::OpenLanes(const Patches& patches, OutsideConvection model, double step_s,
                     double settle_k, double start_c)
    : patches_(patches),
      model_(model),
      step_s_(step_s),
      blocks_((patches.open.size() + n - 1) / n),
      room_(blocks_.size() * n, 0),
      air_speed_m_s_(patches.open.size(), 0.0),
      gaps_(patches.open.size()) {
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
        OpenBlock& block = blocks_[b];
        block.sheet_per_wall.of.fill(1);
        block.settle_k.of.fill(1);
        for (Lanes* state :
             {&block.face_c, &block.face_before_c, &block.sheet_c, &block.sheet_before_c,
              &block.inside_c, &block.air_c, &block.room_air_c, &block.room_radiant_c,
              &block.face_now_c, &block.sheet_now_c, &block.inside_now_c}) {
            state->of.fill(start_c);
        }
        std::size_t most_cells = 0;
        for (std::size_t p = b * n; p < std::min(patches.open.size(), (b + 1) * n); ++p) {
            most_cells = std::max(most_cells, patches.walls[patches.open[p].wall].n_cells());
        }
        block.walls.cells.resize(most_cells);
    }
    for (std::size_t p = 0; p < patches.open.size(); ++p) {
        set_constants(p, start_c);
        blocks_[p / n].settle_k[p % n] =
            patches.open[p].clad ? settle_k : tangent_over_network * settle_k;
    }
}

void OpenLanes::set_constants(std::size_t patch, double start_c) {
    const OpenPatch& p = patches_.open[patch];
    const LayeredWall& wall = patches_.walls[p.wall];
    OpenBlock& b = blocks_[patch / n];
    const std::size_t k = patch % n;
    room_[patch] = static_cast<std::uint32_t>(p.inside.unit.index());
    if (p.clad) clad_.push_back(static_cast<std::uint32_t>(patch));
    b.emittance[k] = p.outside.face.emittance;
    b.natural_hot[k] = p.outside.face.natural_hot;
    b.natural_cool[k] = p.outside.face.natural_cool;
    b.relief_ratio[k] = p.outside.face.relief_ratio;
    b.exposed[k] = p.sheltered ? 0 : 1;
    b.inside.put(k, p.inside);
    b.walls.put(k, wall, std::vector<double>(wall.n_cells(), start_c));
}

void OpenLanes::begin(std::span<const FaceConditions> conditions,
                      std::span<const double> floor_sun_w_m2, double pressure_pa, double wind_m_s) {
    pressure_pa_ = pressure_pa;
    wind_m_s_ = wind_m_s;
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        OpenBlock& b = blocks_[p / n];
        const std::size_t k = p % n;
        b.absorbed_w_m2[k] = conditions[p].absorbed_w_m2;
        b.longwave_in_w_m2[k] = conditions[p].longwave_in_w_m2;
        b.air_c[k] = conditions[p].air_c;
        b.forced_w_m2k[k] = conditions[p].forced_w_m2k;
        b.inside_sun_w_m2[k] = patches_.open[p].inside.is_floor ? floor_sun_w_m2[room_[p]] : 0;
    }
    for (OpenBlock& block : blocks_) begin_walls(block);
}

void OpenLanes::read_rooms(OpenBlock& block, std::size_t first,
                           std::span<const RoomInStep> rooms) const {
    for (std::size_t k = 0; k < n; ++k) {
        const RoomInStep& room = rooms[room_[first + k]];
        block.room_air_c[k] = room.air_c;
        block.room_radiant_c[k] = room.radiant_c;
    }
}

void OpenLanes::line(std::span<const RoomInStep> rooms) {
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
        if (blocks_[b].settled) continue;  // its lines still hold
        read_rooms(blocks_[b], b * n, rooms);
        line_outside(blocks_[b], model_);
    }
    for (const std::uint32_t p : clad_) {
        if (!blocks_[p / n].settled && !patches_.open[p].sheltered) hang_cladding(p);
    }
    for (OpenBlock& block : blocks_) {
        if (!block.settled) join_walls(block);
    }
}

double OpenLanes::sheet_past_w_m2(std::size_t patch) const {
    const OpenBlock& b = block(patch);
    return bdf2_history(patches_.open[patch].sheet_capacity_j_m2k, b.sheet_c[patch % n],
                        b.sheet_before_c[patch % n], step_s_);
}

/// Puts sheet and gap between h, q and the wall: the sheet's temperature is sheet_fixed_c +
/// sheet_per_wall * T_wall.
void OpenLanes::hang_cladding(std::size_t patch) {
    const OpenPatch& p = patches_.open[patch];
    OpenBlock& b = blocks_[patch / n];
    const std::size_t k = patch % n;
    const GapNetwork gap = vented_gap(p.gap, b.guess_c[k], b.wall_guess_c[k], b.air_c[k],
                                      air_speed_m_s_[patch], pressure_pa_, wind_m_s_);
    air_speed_m_s_[patch] = gap.air_speed_m_s;
    const double inertia = bdf2_inertia(p.sheet_capacity_j_m2k, step_s_);
    const double slope = inertia + b.h[k] + gap.link_w_m2k + gap.loss_w_m2k;
    b.sheet_fixed_c[k] = (b.q[k] + sheet_past_w_m2(patch) + gap.loss_w_m2k * b.air_c[k]) / slope;
    b.sheet_per_wall[k] = gap.link_w_m2k / slope;
    b.q[k] = gap.loss_w_m2k * b.air_c[k] + gap.link_w_m2k * b.sheet_fixed_c[k];
    b.h[k] = gap.loss_w_m2k + gap.link_w_m2k * (1 - b.sheet_per_wall[k]);
}

void OpenLanes::add_to(std::span<RoomInStep> rooms) const {
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const OpenBlock& b = block(p);
        const std::size_t k = p % n;
        rooms[room_[p]].faces.add({.air_air_w_k = b.air_air_w_k[k],
                                   .air_radiant_w_k = b.air_radiant_w_k[k],
                                   .radiant_radiant_w_k = b.radiant_radiant_w_k[k],
                                   .air_source_w = b.air_source_w[k],
                                   .radiant_source_w = b.radiant_source_w[k]});
    }
}

bool OpenLanes::close(std::span<const RoomInStep> rooms) {
    bool settled = true;
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
        read_rooms(blocks_[b], b * n, rooms);
        close_walls(blocks_[b]);
        settled = settled && blocks_[b].settled;
    }
    return settled;
}

void OpenLanes::balances(std::vector<OutsideBalance>& out) {
    for (OpenBlock& block : blocks_) balance_outside(block, model_);
    out.resize(patches_.open.size());
    for (std::size_t p = 0; p < out.size(); ++p) {
        out[p] = {block(p).exact_w_m2[p % n], block(p).taken_w_m2[p % n]};
    }
    for (const std::uint32_t p : clad_) {
        const OpenPatch& patch = patches_.open[p];
        if (patch.sheltered) continue;
        const OpenBlock& b = block(p);
        const std::size_t k = p % n;
        const GapNetwork gap = vented_gap(patch.gap, b.sheet_now_c[k], b.face_now_c[k], b.air_c[k],
                                          air_speed_m_s_[p], pressure_pa_, wind_m_s_);
        gaps_[p] = gap;
        const double stored = bdf2_inertia(patch.sheet_capacity_j_m2k, step_s_) * b.sheet_now_c[k] -
                              sheet_past_w_m2(p);
        out[p].taken += stored + gap.loss_w_m2k * (b.sheet_now_c[k] - b.air_c[k]) +
                        gap.loss_w_m2k * (b.face_now_c[k] - b.air_c[k]);
    }
}

void OpenLanes::finish() {
    for (OpenBlock& block : blocks_) advance_walls(block);
}

double OpenLanes::steel_c(std::size_t patch) const {
    const OpenPatch& p = patches_.open[patch];
    if (p.steel_layer == 0) return wall_face_c(patch);
    const LayeredWall& wall = patches_.walls[p.wall];
    const std::size_t cell = wall.first_cell_of_layer(p.steel_layer);
    if (cell < wall.n_cells()) return cell_c(patch, cell);
    // Nothing with mass from there on: the heat that comes out inside has crossed it as well.
    return inside_c(patch) +
           inward_w(patch) / p.inside.area_m2 * wall.resistance_behind_m2k_w(p.steel_layer);
}

}  // namespace noonshell
