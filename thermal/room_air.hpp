// Outdoor air and vapour of every room, step by step, beside the heat of a run.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/building.hpp"
#include "thermal/live_rooms.hpp"
#include "thermal/room_moisture.hpp"
#include "thermal/room_solver.hpp"
#include "thermal/surroundings.hpp"

namespace noonshell {

class RoomAir {
  public:
    /// All four must outlive it.
    RoomAir(const Envelope& envelope, const Building& building, const Surroundings& around,
            const LiveRooms& live);

    /// The air of a room that is not run, for the steps whose flows are set from now on.
    void set_given(std::size_t room, double humidity_kg_kg) {
        moisture_[room].humidity_kg_kg = humidity_kg_kg;
    }

    /// Sets the flows of a step from the rooms' temperatures at its start, #rooms. A room near the
    /// limits of its ventilation would open and shut it by turns, and rooms behind an open door
    /// swing about each other: each step goes half the way.
    void set_flows(std::size_t step, std::span<const double> air_c);

    /// What a plant that gives `most_w` in all takes out as sensible heat in the step whose flows
    /// were set, with the room's air at `air_c` at its end [W].
    double most_sensible_w(std::size_t room, double most_w, double air_c) const;

    /// The vapour of every room that is run, at the end of the step whose flows were set. `most_w`:
    /// what each room's plant can give, #rooms.
    void advance_vapour(std::span<const RoomInStep> rooms, std::span<const double> most_w);

    /// Outdoor air that comes in during the step, by ventilation (fresh air included) and in all
    /// [m3/s].
    double ventilation_m3_s(std::size_t room) const {
        return ventilation_m3_s_[room] + fresh_m3_s_[room];
    }
    double fan_w(std::size_t room) const;  ///< electricity of the fans for it
    /// Air that goes either way through a doorway during the step [m3/s].
    double doorway_m3_s(std::size_t doorway) const { return doorway_m3_s_[doorway]; }
    double outdoor_m3_s(std::size_t room) const {
        return leaks_m3_s_[room] + ventilation_m3_s(room);
    }
    const RoomMoisture& moisture(std::size_t room) const { return moisture_[room]; }

  private:
    void gather_inflows(double outdoor_kg_kg);
    MoistureStep vapour_of(std::size_t room) const;

    const Envelope& envelope_;
    const Building& building_;
    const Surroundings& around_;
    const LiveRooms& live_;
    std::vector<double> leaks_m3_s_, ventilation_m3_s_, fresh_m3_s_;  // #rooms
    std::vector<double> doorway_m3_s_;                                // #doorways
    std::vector<RoomMoisture> moisture_;                              // #rooms
    std::size_t hour_ = 0;                              // of the step whose flows were set
    std::vector<double> inflow_m3_s_, vapour_in_m3_s_;  // all air, and that times its humidity
};

}  // namespace noonshell
