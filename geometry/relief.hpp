// Relief of a side: strips of corrugated sheet, posts, rails, castings and door gear become one
// flat patch at the plane of the side's outermost sheet, with the outline of all that lies in it;
// it remembers the faces that it stands for and their developed area.
#pragma once

#include <vector>

#include "geometry/patches.hpp"
#include "geometry/plane_region.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// What lies within this of a side's plane, behind it or before it, is relief of that side [m]:
/// corrugations, cross-members (122 mm) and door gear of freight containers.
inline constexpr double relief_depth_m = 0.15;

/// Gaps between the parts of a side that are closed when its outline is drawn [m].
inline constexpr double closed_gap_m = 0.06;

/// Holes of an outline larger than this are openings and told to the user [m2].
inline constexpr double least_opening_m2 = 0.05;

/// A side of its own needs this much area [m2].
inline constexpr double least_side_area_m2 = 0.5;

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

/// The part of flattening that knows no model: `patches` all face outward; each tag is flattened by
/// itself. `always`: flatten every side with more than one patch; otherwise only sides with many
/// folds.
Skin flatten_relief(std::vector<Patch> patches, bool always);

/// Cuts a region out of a patch: its share of the developed area goes with it.
void cut_out(Patch& patch, const PlaneRegion& region);

/// Adds the polygons of a patch as they are seen along the normal of another plane.
void add_shadow(const Patch& patch, const PlaneFrame& onto, std::vector<ConvexPolygon>& shadows);

/// What polygons of `from` cover in the plane of `onto`, seen along its normal.
PlaneRegion projected(const Patch& from, const PlaneFrame& onto);

}  // namespace noonshell
