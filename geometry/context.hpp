// Bodies with the role context (neighbours, terrain) as surfaces, so that they can throw light.
#pragma once

#include <cstddef>

#include "geometry/envelope.hpp"

namespace noonshell {

struct ContextOptions {
    double cell_m = 1.0;  ///< largest edge of a facet beside the building
    /// Facets farther off may have edges of this share of their distance from the building.
    double cell_per_distance = 0.125;
    std::size_t most_cells = 10'000;  ///< cells grow where there would be more
    std::size_t most_planes = 2000;   ///< the largest count; what is left throws no light
};

/// The envelope with one surface of kind context ("context/1" and so on) for each plane of a face
/// of the context bodies, at the end of the surfaces, their facets at the end of the facets; an
/// open shell has two for each plane, one for either side. Their blockers are theirs in
/// triangle_surface. What reaches no higher than the ground plane stays as it is: it is the ground.
/// A warning "context-in-small-faces" tells the share of the area that was left out for
/// `most_planes`. The ground (with_ground) comes after them.
Envelope with_context(const Envelope& envelope, const ContextOptions& options = {});

}  // namespace noonshell
