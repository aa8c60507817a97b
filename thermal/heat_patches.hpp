// The heat model's parts: every surface is split into an open patch and one patch per contact, each
// a wall between two of: the open, a room, the deep ground. Shades are lumped sheets in the open.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "thermal/air_layers.hpp"
#include "thermal/building.hpp"
#include "thermal/layered_wall.hpp"
#include "thermal/outside_face.hpp"
#include "thermal/surroundings.hpp"
#include "thermal/vented_gap.hpp"

namespace noonshell {

/// Convection at an inside face by the direction that heat flows through it: the larger of the
/// values of [iso6946] annex C, made for some 5 K, and the free convection of [ashrae2021] ch. 4
/// table 9, which takes over where bare steel stands tens of kelvins off the air. Fans and jets of
/// the plant are left out.
struct InsideFace {
    SurfaceId surface;
    UnitId unit;
    double area_m2 = 0;
    double emittance = 0.9;
    double warm_w_m2k = 2.5;     ///< least value when the face is warmer than the air
    double cool_w_m2k = 2.5;     ///< least value when cooler
    double natural_warm = 1.26;  ///< h = C |dT|^(1/3) when warmer [W/(m2 K^(4/3))]
    double natural_cool = 1.26;  ///< the same when cooler
};

/// A face in the open of a surface and the shares it sees.
struct OpenFace {
    SurfaceId surface;
    double area_m2 = 0;           ///< exposed part
    double share_of_surface = 1;  ///< exposed area over whole area
    double absorptance = 0.7;
    double transmittance = 0;
    OutsideFace face;
    double tilt_deg = 0, azimuth_deg = 0;
    double sky_share = 0, ground_share = 0, context_share = 0;
    double sunlit_ground_share = 0;  ///< see OutsideView
};

/// Wall between the open and a room.
struct OpenPatch {
    OpenFace outside;
    InsideFace inside;
    std::size_t wall = 0;
    std::size_t steel_layer = 0;  ///< first layer of the construction under any treatment
    bool sheltered = false;       ///< covered by a shade's body: no heat crosses its outside face
    bool clad = false;
    GapGeometry gap{};  ///< of the cladding
    double sheet_capacity_j_m2k = 0;
};

/// Wall between two rooms.
struct SharedPatch {
    InsideFace a, b;
    std::size_t wall = 0;  ///< face a in the room of `a`
};

/// Wall between a room and the deep ground.
struct GroundPatch {
    InsideFace inside;
    std::size_t wall = 0;
};

/// One shade body: a thin sheet at one temperature, open on all its sides.
struct ShadeSheet {
    BodyId body;
    std::vector<OpenFace> faces{};
    double capacity_j_k = 0;
};

/// What a part run covers; everything else keeps given conditions.
struct ActivePart {
    std::vector<std::uint8_t> units;  ///< #units, 1 where run
    std::vector<std::uint8_t>
        surfaces;  ///< #surfaces, 1 where a shade's sheet is run; units' unused
};

struct Patches {
    std::vector<LayeredWall> walls;  ///< one per distinct build-up
    std::vector<OpenPatch> open;
    std::vector<SharedPatch> shared;
    std::vector<GroundPatch> ground;
    std::vector<ShadeSheet> shades;
};

/// What the surfaces see of the outside.
struct OutsideView {
    const ExchangeNet& net;  ///< between the surfaces
    /// The part of the ground share that is as warm as ground in full sun, #surfaces; the rest is
    /// as warm as the air.
    std::span<const double> sunlit_ground_share;
};

/// Patches of what `active` marks; null: of everything.
Patches make_patches(const Envelope& envelope, const OutsideView& view, const Building& building,
                     double step_s, int refine, const ActivePart* active);

}  // namespace noonshell
