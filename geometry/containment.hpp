// Private to geometry/: whether one body stands inside others, as a lining does in its steel skin.
#pragma once

#include "geometry/body_measure.hpp"
#include "geometry/model.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// Whether a box lies in another, to the millimetre, and is smaller: the same box twice is not.
bool fits_into(const BodyBounds& inner, const BodyBounds& outer);

/// Whether a body lies in the space that `outer` surrounds: of what is around it no more than the
/// share `most_openness` is open, and it is covered from above. Windows, doors and an open end do
/// no harm; a court open to the sky is no inside. Its bounds must fit into those of `outer`.
bool lies_within(const Model& model, BodyId inner, const RayMesh& outer, double most_openness);

}  // namespace noonshell
