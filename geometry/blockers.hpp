// Private to geometry/: the triangles that block rays.
#pragma once

#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// The skins of all units and shades: arrays of one length.
struct SkinPatches {
    const Model& model;
    const std::vector<Patch>& patches;
    const std::vector<SurfaceId>& surfaces;
};

/// Fills Envelope::blockers and triangle_surface; sheets block with their fronts. Units and shades
/// block rays with their skins: what relief and inside a unit has is behind that. Panes block none,
/// but for those that lie in no wall.
void add_blockers(const SkinPatches& skin, const std::vector<RoleChoice>& roles,
                  const std::vector<BodyId>& loose_panes, Envelope& envelope);

}  // namespace noonshell
