// Private to geometry/: what would close a room of panels from above that has no roof of its own:
// the floor of the storey above, or a lid drawn in thought.
#pragma once

#include <span>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// Undersides of `others` that lie on the walls of `bodies`: level, between a joint below and the
/// depth of cross-members above the highest point of them, over their extent in plan.
std::vector<RayMesh::Triangle> lid_of_neighbours(const Model& model, std::span<const BodyId> bodies,
                                                 std::span<const BodyId> others);

/// A level sheet over the highest point of `bodies`.
std::vector<RayMesh::Triangle> lid_drawn_over(const Model& model, std::span<const BodyId> bodies);

}  // namespace noonshell
