#include "thermal/room_sun.hpp"

#include <algorithm>

namespace noonshell {

RoomSun::RoomSun(const Patches& patches, const Building& building)
    : patches_(patches),
      building_(building),
      floor_m2_(building.rooms.size()),
      on_floor_w_m2_(floor_m2_),
      radiant_w_(floor_m2_) {
    const auto add = [this](const InsideFace& face) {
        if (face.is_floor) floor_m2_[face.unit.index()] += face.area_m2;
    };
    for (const OpenPatch& p : patches.open) add(p.inside);
    for (const GroundPatch& p : patches.ground) add(p.inside);
    for (const SharedPatch& p : patches.shared) {
        add(p.a);
        add(p.b);
    }
}

void RoomSun::set(std::span<const FaceConditions> conditions) {
    std::fill(on_floor_w_m2_.begin(), on_floor_w_m2_.end(), 0.0);
    std::fill(radiant_w_.begin(), radiant_w_.end(), 0.0);
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const OpenPatch& patch = patches_.open[p];
        if (patch.outside.transmittance <= 0 || patch.sheltered) continue;
        const std::size_t room = patch.inside.unit.index();
        const double all_w = conditions[p].transmitted_w_m2 * patch.outside.area_m2;
        const double share = floor_m2_[room] > 0 ? building_.rooms[room].sun_on_floor_share : 0;
        const double floor_w = share * conditions[p].transmitted_beam_w_m2 * patch.outside.area_m2;
        if (floor_w > 0) on_floor_w_m2_[room] += floor_w / floor_m2_[room];
        radiant_w_[room] += all_w - floor_w;
    }
}

}  // namespace noonshell
