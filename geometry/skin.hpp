// The outer skin of a detailed unit. Strips of corrugated sheet, posts, rails, castings and door
// gear are relief of the side they stand on: each side becomes one flat patch at the plane of its
// outermost sheet, with the outline of all that lies in it, and remembers the faces that it stands
// for and their developed area. Sun and contacts then cost what they cost for a plain box, and the
// relief's larger area still reaches the heat balance.
#pragma once

#include <span>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/overhangs.hpp"
#include "geometry/patches.hpp"
#include "geometry/relief.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

/// Tags of faces by FaceId; empty where nothing is tagged. Faces of one tag make patches of their
/// own and take their outline out of the side that they lie in.
using FaceTags = std::vector<std::int32_t>;

/// Skin of a unit that is one closed body without an inside of its own: every face is outer. Only
/// sides with many folds (corrugated sheet) are flattened, smoothly curved ones stay as they are.
Skin skin_of_closed_body(const Model& model, BodyId body, const FaceTags& tags);

/// Patches of a shade: folded sheet has one flat patch for each of its two sides, with the sheet's
/// own outline. Whatever lets light through between its faces (slats, lattices) or overlaps along
/// the normal of a side stays as it is.
std::vector<Patch> shade_patches(const Model& model, BodyId body);

/// The same of faces, or parts of them, that are drawn already.
std::vector<Patch> shade_patches(std::span<const Patch> faces);

/// Skin of a hollow body, an open shell, or several bodies: outer faces are those that see the open
/// (visibility.hpp); faces of open shells are turned the way that they see it.
/// `openness` is that of the faces, as openness_of_faces() hands it out for `bodies` among `mesh`.
Skin skin_by_visibility(const Model& model, std::span<const BodyId> bodies,
                        std::span<const FaceOpenness> openness, const RayMesh& mesh,
                        const FaceTags& tags);

/// The same of a unit that reaches beyond its walls: its faces are cut there, and what lies beyond
/// and sees the open goes to `overhangs`, in the order of bodies and faces. Faces with a tag stay
/// whole.
Skin skin_within_walls(const Model& model, std::span<const BodyId> bodies,
                       std::span<const FaceOpenness> openness, const RayMesh& mesh,
                       const FaceTags& tags, const OverhangZone& zone,
                       std::vector<OverhangPatch>& overhangs);

}  // namespace noonshell
