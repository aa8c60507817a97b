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
#include "thermal/inside_face.hpp"
#include "thermal/layered_wall.hpp"
#include "thermal/outside_face.hpp"
#include "thermal/roughness.hpp"
#include "thermal/surroundings.hpp"
#include "thermal/vented_gap.hpp"

namespace noonshell {

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
    double height_m = 0;             ///< of the whole surface's middle above the ground
    Roughness roughness = Roughness::very_smooth;
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

/// Where a face of a shade lies on a plate: at its front, at its back, or on an edge, which is
/// as warm as the mean of both.
enum class PlateSide : std::uint8_t { front, back, edge };

/// One shade body, open on all its sides: a thin sheet at one temperature, or a plate (see
/// find_plates()) whose front and back have layers between them. Of a body with several plates each
/// is one of these; what lies on no plate belongs to the largest.
struct ShadeSheet {
    BodyId body;
    std::vector<OpenFace> faces{};
    double capacity_j_k = 0;            ///< of a sheet
    std::optional<std::size_t> wall{};  ///< of a plate: face a at its front
    double plate_m2 = 0;
    std::vector<PlateSide> side{};  ///< of a plate, #faces
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
