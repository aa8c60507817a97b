// Facets that face one way and lie close together, so that one sun can be answered for all at once.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/light_parts.hpp"

namespace noonshell {

/// Of facets without a part.
inline constexpr std::uint32_t no_block = ~0u;

/// Facets order[begin..end) of one block with one normal and one count of sample points each.
struct FacetGroup {
    std::uint32_t begin = 0, end = 0;
    std::uint32_t points_per_facet = 0;
    std::uint32_t block = no_block;
    Vec3 normal{0, 0, 1};
    std::uint32_t size() const { return end - begin; }
};

struct FacetGroups {
    std::vector<std::uint32_t> order;  ///< facet numbers, group after group
    std::vector<FacetGroup> groups;    ///< blocks in order
};

/// Whether light can reach a facet at all: not covered by a contact and not below the ground plane.
bool takes_light(const Envelope& envelope, std::size_t facet);

/// Groups of at most `most_points` points (at least one facet), cut across their longest extent.
/// `points_per_facet` #facets; facets with 0 points are in no group. Facets without a part are
/// grouped by surface.
FacetGroups group_facets(const Envelope& envelope, const LightParts& parts,
                         std::span<const std::uint32_t> points_per_facet,
                         std::uint32_t most_points);

}  // namespace noonshell
