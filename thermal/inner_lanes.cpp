#include "thermal/inner_lanes.hpp"

#include <algorithm>

namespace noonshell {

InnerLanes::InnerLanes(const Patches& patches, double start_c, double deep_ground_c)
    : patches_(patches),
      n_shared_(patches.shared.size()),
      blocks_((patches.shared.size() + patches.ground.size() + n - 1) / n) {
    const std::size_t n_walls = n_shared_ + patches.ground.size();
    for (std::size_t w = 0; w < n_walls; ++w) {
        std::vector<CellLanes>& cells = blocks_[w / n].walls.cells;
        cells.resize(std::max(cells.size(), wall(w).n_cells()));
    }
    for (InnerBlock& block : blocks_) block.ground_c = deep_ground_c;
    for (std::size_t w = 0; w < n_walls; ++w) {
        InnerBlock& block = blocks_[w / n];
        const std::size_t k = w % n;
        const bool on_ground = w >= n_shared_;
        const InsideFace& b =
            on_ground ? patches.ground[w - n_shared_].inside : patches.shared[w].b;
        const UnitId a_unit = on_ground ? b.unit : patches.shared[w].a.unit;
        const double cells_c = on_ground ? deep_ground_c : start_c;
        block.walls.put(k, wall(w), std::vector<double>(wall(w).n_cells(), cells_c));
        block.on_ground[k] = on_ground ? 1 : 0;
        if (!on_ground) block.a.what.put(k, patches.shared[w].a);
        block.b.what.put(k, b);
        block.a.face_c[k] = block.b.face_c[k] = start_c;
        rooms_.push_back({static_cast<std::uint32_t>(a_unit.index()),
                          static_cast<std::uint32_t>(b.unit.index())});
    }
}

const LayeredWall& InnerLanes::wall(std::size_t number) const {
    return patches_.walls[number < n_shared_ ? patches_.shared[number].wall
                                             : patches_.ground[number - n_shared_].wall];
}

void InnerLanes::read_rooms(std::span<const RoomInStep> rooms) {
    for (std::size_t w = 0; w < rooms_.size(); ++w) {
        InnerBlock& block = blocks_[w / n];
        const std::size_t k = w % n;
        const RoomInStep &a = rooms[rooms_[w].a], &b = rooms[rooms_[w].b];
        block.a.room_air_c[k] = a.air_c;
        block.a.room_radiant_c[k] = a.radiant_c;
        block.b.room_air_c[k] = b.air_c;
        block.b.room_radiant_c[k] = b.radiant_c;
    }
}

void InnerLanes::begin(std::span<const RoomInStep> rooms, const RoomSun& sun) {
    read_rooms(rooms);
    for (std::size_t w = 0; w < n_shared_; ++w) {
        blocks_[w / n].a.sun_w_m2[w % n] = sun.on_face_w_m2(patches_.shared[w].a);
        blocks_[w / n].b.sun_w_m2[w % n] = sun.on_face_w_m2(patches_.shared[w].b);
    }
    for (std::size_t g = 0; g < patches_.ground.size(); ++g) {
        const std::size_t w = n_shared_ + g;
        blocks_[w / n].b.sun_w_m2[w % n] = sun.on_face_w_m2(patches_.ground[g].inside);
    }
    for (InnerBlock& block : blocks_) begin_inner_walls(block);
}

void InnerLanes::add_to(std::span<FaceTerms> rooms) const {
    const auto add = [&](const InnerFaces& f, std::size_t k, std::uint32_t room, bool with_source) {
        rooms[room].add({.air_air_w_k = f.air_air_w_k[k],
                         .air_radiant_w_k = f.air_radiant_w_k[k],
                         .radiant_radiant_w_k = f.radiant_radiant_w_k[k],
                         .air_source_w = with_source ? f.air_source_w[k] : 0.0,
                         .radiant_source_w = with_source ? f.radiant_source_w[k] : 0.0});
    };
    for (std::size_t w = n_shared_; w < rooms_.size(); ++w)
        add(block(w).b, w % n, rooms_[w].b, true);
    for (std::size_t w = 0; w < n_shared_; ++w) {
        add(block(w).a, w % n, rooms_[w].a, false);
        add(block(w).b, w % n, rooms_[w].b, false);
    }
}

void InnerLanes::link(std::span<RoomLink> links) const {
    const auto set = [](const InnerFaces& f, std::size_t k, SharedTerms& to) {
        to.air_source_w = f.air_source_w[k];
        to.radiant_source_w = f.radiant_source_w[k];
        to.air_of_air_w_k = f.air_of_air_w_k[k];
        to.air_of_radiant_w_k = f.air_of_radiant_w_k[k];
        to.radiant_of_air_w_k = f.radiant_of_air_w_k[k];
        to.radiant_of_radiant_w_k = f.radiant_of_radiant_w_k[k];
    };
    for (std::size_t w = 0; w < n_shared_; ++w) {
        set(block(w).a, w % n, links[w].to_a);
        set(block(w).b, w % n, links[w].to_b);
    }
}

void InnerLanes::finish(std::span<const RoomInStep> rooms) {
    read_rooms(rooms);
    for (InnerBlock& block : blocks_) finish_inner_walls(block);
}

void InnerLanes::shift_cells(std::span<const double> by_k) {
    std::size_t i = 0;
    for (std::size_t w = 0; w < rooms_.size(); ++w) {
        for (std::size_t cell = 0; cell < wall(w).n_cells(); ++cell, ++i) {
            CellLanes& c = blocks_[w / n].walls.cells[cell];
            c.now_c[w % n] += by_k[i];
            c.before_c[w % n] += by_k[i];
        }
    }
}

void InnerLanes::append_cells_c(std::vector<double>& all) const {
    for (std::size_t w = 0; w < rooms_.size(); ++w) {
        for (std::size_t cell = 0; cell < wall(w).n_cells(); ++cell)
            all.push_back(block(w).walls.cells[cell].now_c[w % n]);
    }
}

}  // namespace noonshell
