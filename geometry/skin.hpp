// The outer skin of a detailed unit. Strips of corrugated sheet, posts, rails, castings and door
// gear are relief of the side they stand on: each side becomes one flat patch at the plane of its
// outermost sheet, with the outline of all that lies in it, and remembers the faces that it stands
// for and their developed area. Sun and contacts then cost what they cost for a plain box, and the
// relief's larger area still reaches the heat balance.
#pragma once

#include <span>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/patches.hpp"
#include "geometry/plane_region.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

/// What lies within this of a side's plane, behind it or before it, is relief of that side [m]:
/// corrugations, cross-members (122 mm) and door gear of freight containers.
inline constexpr double relief_depth_m = 0.15;

/// Gaps between the parts of a side that are closed when its outline is drawn [m].
inline constexpr double closed_gap_m = 0.06;

/// Holes of an outline larger than this are openings and told to the user [m2].
inline constexpr double least_opening_m2 = 0.05;

/// A hole in the outer skin of a unit, or a side that is missing.
struct SkinOpening {
    Vec3 normal{0, 0, 1};  ///< of the side that it lies in
    double area_m2 = 0;
};

struct Skin {
    std::vector<Patch> patches;  ///< flat sides first, then faces that stand out from all sides
    std::vector<SkinOpening> openings;
    double dropped_area_m2 = 0;  ///< of small faces that stand out from every side
};

/// Tags of faces by FaceId; empty where nothing is tagged. Faces of one tag make patches of their
/// own and take their outline out of the side that they lie in.
using FaceTags = std::vector<std::int32_t>;

/// Skin of a unit that is one closed body without an inside of its own: every face is outer. Only
/// sides with many folds (corrugated sheet) are flattened, smoothly curved ones stay as they are.
Skin skin_of_closed_body(const Model& model, BodyId body, const FaceTags& tags);

/// Skin of a hollow body, an open shell, or several bodies: outer faces are those that see the open
/// (visibility.hpp); faces of open shells are turned the way that they see it.
/// `openness` is that of the faces, as openness_of_faces() hands it out for `bodies` among `mesh`.
Skin skin_by_visibility(const Model& model, std::span<const BodyId> bodies,
                        std::span<const FaceOpenness> openness, const RayMesh& mesh,
                        const FaceTags& tags);

/// The part of flattening that knows no model: `patches` all face outward; each tag is flattened by
/// itself. `always`: flatten every side with more than one patch; otherwise only sides with many
/// folds.
Skin flatten_relief(std::vector<Patch> patches, bool always);

/// Cuts a region out of a patch: its share of the developed area goes with it.
void cut_out(Patch& patch, const PlaneRegion& region);

/// What polygons of `from` cover in the plane of `onto`, seen along its normal.
PlaneRegion projected(const Patch& from, const PlaneFrame& onto);

}  // namespace noonshell
