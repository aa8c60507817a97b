// State and one step of the heat run; simulate() drives it over the period.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/inner_lanes.hpp"
#include "thermal/live_rooms.hpp"
#include "thermal/open_lanes.hpp"
#include "thermal/outside_conditions.hpp"
#include "thermal/room_air.hpp"
#include "thermal/room_solver.hpp"
#include "thermal/room_sun.hpp"
#include "thermal/shade_sheets.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {

/// The accounts of one step, beside what HeatRun tells of patches.
struct StepFlows {
    double outside_net_w = 0;     ///< exact net heat into all open faces (when accounting)
    double outside_wall_w = 0;    ///< the same as the walls and sheets took it
    double outside_passed_w = 0;  ///< sum of magnitudes
    bool settled = true;
};

class HeatRun {
  public:
    HeatRun(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
            const ActivePart* active, const Trace* given, const ReflectanceChange* change);
    HeatRun(const HeatRun&) = delete;  // holds pointers into its own patches
    HeatRun& operator=(const HeatRun&) = delete;

    /// Advances to the end of `step` (index into the period).
    void advance(std::size_t step, bool account);

    const StepFlows& flows() const { return flows_; }
    const Patches& patches() const { return patches_; }
    std::span<const RoomInStep> rooms() const { return rooms_; }
    const LiveRooms& live() const { return live_; }
    /// Longwave that leaves every surface's outermost face, own and thrown back [W/m2], #surfaces;
    /// of a part run, how much more than in the run that is given.
    std::span<const double> outside_longwave() const { return emitted_; }
    /// Outermost faces at the end of the step [C], #surfaces; those that are not run as they began.
    std::span<const double> outermost_c() const { return outermost_c_; }
    const OutsideConditions& outside() const { return outside_; }
    double outside_c(std::size_t open_patch) const { return open_.outermost_c(open_patch); }
    double open_inward_w(std::size_t open_patch) const { return open_.inward_w(open_patch); }
    double ground_inward_w(std::size_t ground) const { return inner_.ground_inward_w(ground); }
    /// Into the rooms of a and b.
    double shared_a_w(std::size_t shared) const { return inner_.shared_a_w(shared); }
    double shared_b_w(std::size_t shared) const { return inner_.shared_b_w(shared); }
    double shade_c(std::size_t shade, std::size_t face) const {
        return shades_.face_c(shade, face);
    }
    double steel_c(std::size_t open_patch) const { return open_.steel_c(open_patch); }
    /// Air of a room at the end of the step before the last one [C].
    double air_before_c(std::size_t room) const { return air_before_c_[room]; }
    /// What a small body in the middle of every room that is run is in radiant balance with [C],
    /// #rooms; others stay. Radiant gains count as if spread over the room, light of panes with
    /// them.
    void mean_radiant(std::span<double> rooms_c) const;
    /// Heat stored in the air and furniture of a room, in the sense of the time scheme [J].
    double room_stored_j(std::size_t room) const;
    double room_outdoor_w(std::size_t room) const;
    double room_doorways_w(std::size_t room) const;
    const RoomAir& air() const { return air_; }
    const GapNetwork& gap(std::size_t open_patch) const { return open_.gap(open_patch); }
    double inside_c(std::size_t open_patch) const { return open_.inside_c(open_patch); }
    double room_gains_w(std::size_t room) const;  ///< all sun through panes included
    double transmitted_w(std::size_t open_patch) const;
    /// Temperatures of every wall cell, for comparing two instants.
    std::vector<double> wall_temperatures() const;
    /// Moves every wall cell by a difference between two such lists; what is light follows within
    /// hours.
    void shift_walls(std::span<const double> from_c, std::span<const double> to_c);

  private:
    void begin_step(std::size_t step);
    void set_links();
    void set_given_rooms(std::size_t step);
    void set_rooms(std::size_t step);
    void add_inner_faces();
    void solve();
    bool has_limit(std::size_t room) const { return building_.rooms[room].plant.is_limited(); }
    bool limits_settled() const;
    void finish_step(std::size_t step, bool account);
    void account_open();
    void account_shades();
    void note_emitted(std::size_t step);
    void note_leaving(const OpenFace& face, const FaceConditions& around, double at_c,
                      std::size_t step);
    double gains_w_m2(const RoomSettings& set, std::size_t step) const;

    const HeatInputs& in_;
    const Building& building_;
    HeatOptions options_;
    const Trace* given_;
    Patches patches_;
    LiveRooms live_;
    RoomLinks links_;
    double step_s_;
    OutsideConditions outside_;
    RoomAir air_;
    RoomSun sun_;

    // State.
    OpenLanes open_;
    InnerLanes inner_;
    ShadeSheets shades_;
    std::vector<double> air_now_c_, air_before_c_, radiant_now_c_, radiant_before_c_;
    std::vector<double> hour_begun_c_;  // room air as the hour began
    std::vector<double> air_capacity_j_k_;
    std::vector<double> emitted_;
    std::vector<double> outermost_c_;

    // Work space of one step.
    std::vector<OutsideBalance> open_balance_;
    std::vector<RoomLink> between_;  // shared patches, then doorways
    std::vector<double> most_w_;     // heat and vapour that each room's plant can take out
    std::vector<RoomInStep> rooms_;
    std::vector<FaceTerms> inner_faces_;  // of the rooms, without the open ones
    StepFlows flows_;
};

}  // namespace noonshell
