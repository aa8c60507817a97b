// One step of walls in the open, eight side by side: data of a block of eight and the loops over
// it. open_lanes.hpp fills and reads them.
#pragma once

#include "thermal/cell_lanes.hpp"
#include "thermal/inside_lanes.hpp"
#include "thermal/outside_convection.hpp"

namespace noonshell {

/// Eight walls in the open: what they are, their state, and the work space of a step. A lane
/// without a wall has no area.
struct OpenBlock {
    // What they are; the names are those of OutsideFace, InsideFace and TwoPort.
    Lanes emittance, natural_hot, natural_cool, relief_ratio;
    /// How far a face may be from where it was linearised. A bare face is linearised by its
    /// tangent, the rest goes with the square of that; a gap's network holds its coefficients.
    Lanes settle_k;
    Lanes exposed;  ///< 0 where a shade's body covers the face, else 1
    InsideLanes inside;
    WallLanes walls;  ///< face a outside

    // State [C]. The sheet is the outermost face: of a cladding, else the wall's own.
    Lanes face_c, face_before_c, sheet_c, sheet_before_c, inside_c, inside_before_c;

    // What the step brings.
    Lanes absorbed_w_m2, longwave_in_w_m2, air_c, forced_w_m2k;
    Lanes room_air_c, room_radiant_c;
    Lanes inside_sun_w_m2;             ///< that falls on the inside face
    Lanes film_air_c, film_radiant_c;  ///< the room as the inside films are taken at

    // The step itself.
    Lanes guess_c, wall_guess_c;  ///< temperatures that the films are taken at
    Lanes h, q;                   ///< what meets the wall's outer face: q - h T
    Lanes inside_guess_c;
    Lanes sheet_fixed_c, sheet_per_wall;
    Lanes slope_w_m2k, source_w_m2, convective_w_m2k, radiative_w_m2k, weight_m2k_w;
    /// What the faces bring to their room's balances; see FaceTerms.
    Lanes air_air_w_k, air_radiant_w_k, radiant_radiant_w_k, air_source_w, radiant_source_w;
    Lanes face_now_c, sheet_now_c, inside_now_c, inward_w;
    Lanes moving;  ///< 1 where a face is not yet within settle_k of its guess, else 0
    Lanes exact_w_m2, taken_w_m2;
    bool settled = false;
};

/// The walls' past: particular_c, r_a, r_b; guesses from the last two steps.
void begin_walls(OpenBlock& block);

/// Lines of faces that settled stay as they are, whatever their neighbours in the block do.
///
/// h and q of the outermost faces at guess_c, nothing behind them. Where a cladding hangs, the
/// caller puts its network in between before join_walls().
void line_outside(OpenBlock& block, OutsideConvection model);

/// Wall and films behind h and q: slope, source, weight and the terms of the rooms.
void join_walls(OpenBlock& block);

/// Face temperatures from the rooms'; where they are settle_k or more from the guesses, these move
/// there.
void close_walls(OpenBlock& block);

/// Exact outside balance at the temperatures found, and what the walls took (a cladding left out).
void balance_outside(OpenBlock& block, OutsideConvection model);

/// Heat into the rooms, cells and faces at the end of the step.
void advance_walls(OpenBlock& block);

}  // namespace noonshell
