// Which treatments may stand together on a surface, and which cannot do without each other.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/building.hpp"
#include "thermal/treatment.hpp"

namespace noonshell {

/// Throws InputError naming the treatment and the rule broken: a name in `excludes` or `needs` that
/// no treatment has or that is its own; needs that lead back to their beginning; needs that cannot
/// be met, because two of the treatments that must stand together exclude each other, are of one
/// kind (a surface takes at most one of each) or go on panes and on what is none; one call-out at
/// two prices.
void validate_together(std::span<const Treatment> treatments);

/// Throws InputError, see require_suits(), for a film that fits a pane whose glass it cannot be on.
void require_suitable_glass(std::span<const Treatment> treatments, const Envelope& envelope,
                            const Building& building);

/// Treatments that fit surfaces, but none on which all that they need fits too: such a treatment
/// can go nowhere. Indices into `treatments`; rules must have passed validate_together().
std::vector<std::size_t> lacking_what_they_need(std::span<const Treatment> treatments,
                                                const Envelope& envelope);

/// Whether all that these need is among them and none excludes another. `together` holds indices
/// into `treatments`; rules must have passed validate_together().
bool may_stand_together(std::span<const std::size_t> together,
                        std::span<const Treatment> treatments);

}  // namespace noonshell
