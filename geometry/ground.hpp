// The ground about the building as facets of its own, so that it can lie in shadow and throw light.
#pragma once

#include <string>
#include <vector>

#include "geometry/convex_polygon.hpp"
#include "geometry/envelope.hpp"
#include "geometry/plane_region.hpp"

namespace noonshell {

/// A part of the ground that differs from the rest: a slab, a gravel bed, a lawn.
struct GroundRegion {
    std::string name;
    std::vector<Vec2>
        outline_m;  ///< x, y in model axes; a ring without crossings, either way round
};

struct GroundOptions {
    /// How far the ground is cut into facets beyond the plan of all bodies [m]; below 0: twice the
    /// height of the building, at least 4 and at most 25 m; at most 10000. What lies beyond is
    /// endless level ground in full sun, regions included.
    double reach_m = -1;
    double cell_m = 1.0;  ///< largest edge of a ground facet
    /// Facets near a wall that stands on or close above the ground are smaller, down to this
    /// edge: there light changes within a short way. As large as cell_m: all alike.
    double finest_cell_m = 0.25;
    std::size_t most_cells = 40'000;      ///< cells grow where there would be more
    std::vector<GroundRegion> regions{};  ///< of those that overlap the first one holds
};

/// What the outline holds. Throws InputError for one of fewer than 3 corners, with a corner that is
/// not finite, or without area.
PlaneRegion region_of(const GroundRegion& region);

/// The envelope with the ground about it: one surface of kind ground for each region that lies
/// within reach (in their order, id "ground/NAME") and "ground" for the rest, at the end of the
/// surfaces, their facets at the end of the facets. Ground under what stands on it (within
/// `contact_gap_m` of the ground plane) is left out. Blockers stay as they are: the ground plane
/// stops no ray. Nothing is added where no body has a triangle. Throws InputError for an option out
/// of range and a region without area.
Envelope with_ground(const Envelope& envelope, const GroundOptions& options = {},
                     double contact_gap_m = 0.060);

/// Number of surfaces before the first one of kind context or ground: those of the building.
std::size_t n_building_surfaces(const Envelope& envelope);

}  // namespace noonshell
