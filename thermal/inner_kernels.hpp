// One step of walls between rooms or between the deep ground and a room, eight side by side: data
// of a block of eight and the loops over it. inner_lanes.hpp fills and reads them.
#pragma once

#include "thermal/cell_lanes.hpp"
#include "thermal/inside_lanes.hpp"

namespace noonshell {

/// The inside faces on one side of eight walls. A lane without a face has no area.
struct InnerFaces {
    InsideLanes what;  ///< what they are

    Lanes face_c;                      ///< at the end of the step before, then of this one
    Lanes room_air_c, room_radiant_c;  ///< of the room in front: at the same times
    Lanes sun_w_m2;                    ///< that falls on the face

    // The step itself; the names are those of FaceInStep, FaceTerms and SharedTerms.
    Lanes convective_w_m2k, radiative_w_m2k, source_w_m2, weight_m2k_w;
    Lanes air_air_w_k, air_radiant_w_k, radiant_radiant_w_k;
    Lanes air_source_w, radiant_source_w;
    Lanes air_of_air_w_k, air_of_radiant_w_k, radiant_of_air_w_k, radiant_of_radiant_w_k;
    Lanes inward_w;
};

/// Eight walls with a room on side b, and on side a a room or the deep ground.
struct InnerBlock {
    WallLanes walls;
    InnerFaces a, b;
    Lanes on_ground;      ///< 1 where side a is deep ground, else 0
    double ground_c = 0;  ///< of the deep ground
    Lanes to_a, to_b;     ///< how much of the film heat of the other side's room reaches a face
};

/// The walls' past, films at the faces and rooms as they were, and what the faces bring to the
/// balances of their own and the other side's room.
void begin_inner_walls(InnerBlock& block);

/// Faces from the rooms' new temperatures, heat into the rooms, cells at the end of the step.
void finish_inner_walls(InnerBlock& block);

}  // namespace noonshell
