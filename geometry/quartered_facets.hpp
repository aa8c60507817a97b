// Facets cut into quarters where finer ones are wanted than the model was cut into.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

struct QuarteredFacets {
    Envelope envelope;
    std::vector<FacetId> cut_from;  ///< of the envelope before, #facets
};

/// Cuts the facets chosen (#facets, 1: to be cut) at the middles of their extent along the first
/// edge of their first triangle and across it: cells into four equal ones, cells that an outline
/// cuts into up to four. Quarters stand in the place of their facet, lower ones first; areas add
/// up, all else stays.
QuarteredFacets with_quartered_facets(const Envelope& envelope,
                                      std::span<const std::uint8_t> chosen);

/// Gives the building the facets that its surfaces have in `scenery`, an envelope that has the same
/// surfaces first.
void take_facets(Envelope& building, const Envelope& scenery);

}  // namespace noonshell
