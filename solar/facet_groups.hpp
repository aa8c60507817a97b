// Facets that face one way and lie close together, so that one sun can be answered for all at once.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

/// Facets order[begin..end) of one surface with one normal.
struct FacetGroup {
    std::uint32_t begin = 0, end = 0;
    SurfaceId surface;
    Vec3 normal{0, 0, 1};
    std::uint32_t size() const { return end - begin; }
};

struct FacetGroups {
    std::vector<std::uint32_t> order;  ///< facet numbers, group after group
    std::vector<FacetGroup> groups;    ///< surfaces in order
};

/// Whether light can reach a facet at all: not covered by a contact and not below the ground plane.
bool takes_light(const Envelope& envelope, std::size_t facet);

/// Groups of at most `most_facets` facets that take light, cut across their longest extent.
FacetGroups group_facets(const Envelope& envelope, std::uint32_t most_facets);

}  // namespace noonshell
