// What it does that the light that leaves a part is taken as even over it.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/exposure.hpp"

namespace noonshell {

/// Light that leaves each part over all bins of the exposure [Wh/m2], #parts.
std::vector<double> leaving_over_all_bins(const Exposure& exposure);

struct UnevenLight {
    /// Parts of one surface and about one size whose middles share a cell of twice their edge have
    /// the same number, #parts.
    std::vector<std::size_t> group;
    /// What each part would send were its group even, less what it sends [Wh/m2], #parts.
    std::vector<double> apart_wh_m2;
};

UnevenLight uneven_light(const Envelope& scenery, const LightParts& parts,
                         const Exposure& exposure);

/// The parts whose unevenness matters most for what the surface gets: those of the groups with the
/// largest effect, whichever way it goes, until what is left of the sum over all groups is no more
/// than `share_left` of it.
std::vector<PartId> most_uneven_parts(const Envelope& scenery, const ExchangeMatrix& exchange,
                                      const UnevenLight& light, SurfaceId surface,
                                      double share_left);

}  // namespace noonshell
