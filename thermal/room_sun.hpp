// The sun that comes through panes during a step: where in the rooms it falls.
#pragma once

#include <span>
#include <vector>

#include "thermal/building.hpp"
#include "thermal/heat_patches.hpp"
#include "thermal/outside_face.hpp"

namespace noonshell {

/// Of the direct light RoomSettings::sun_on_floor_share falls on the room's floors, spread over
/// them (where it stands within the floor is left out); all else is given to the inside faces as
/// radiant gains are. A room without a floor takes all of it so.
class RoomSun {
  public:
    /// Both must outlive it.
    RoomSun(const Patches& patches, const Building& building);

    /// Sets a step from the conditions of the open patches, which may go on behind them.
    void set(std::span<const FaceConditions> conditions);

    /// Sun on an inside face [W/m2]; 0 but for floors.
    double on_face_w_m2(const InsideFace& face) const {
        return face.is_floor ? on_floor_w_m2_[face.unit.index()] : 0;
    }
    std::span<const double> on_floors_w_m2() const { return on_floor_w_m2_; }  ///< #rooms
    double radiant_w(std::size_t room) const { return radiant_w_[room]; }
    double on_floor_w(std::size_t room) const { return on_floor_w_m2_[room] * floor_m2_[room]; }

  private:
    const Patches& patches_;
    const Building& building_;
    std::vector<double> floor_m2_, on_floor_w_m2_, radiant_w_;  // #rooms
};

}  // namespace noonshell
