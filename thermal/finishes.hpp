// What can be bought for a surface: one treatment, or several that stand together on it.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/treatment.hpp"

namespace noonshell {

/// Treatments on one surface, at most one of each kind.
struct Finish {
    SurfaceId surface;
    std::vector<std::size_t> treatments;  ///< indices into the list given, ascending
    double cost = 0;                      ///< without call-outs
    double upkeep_per_year = 0;           ///< [currency]
};

/// Every treatment that fits, and every set of fitting treatments of different kinds, as far as
/// their own rules let them stand together (treatment_rules.hpp); by surface, single ones first.
std::vector<Finish> finishes_of(const Envelope& envelope, std::span<const Treatment> treatments);

/// The construction with several treatments on it: insulation on the steel, the cladding before it,
/// and the coating outermost; a pane takes its film.
Construction defended(const Construction& base, std::span<const Treatment* const> treatments);

/// The same for a finish.
Construction finished(const Construction& base, const Finish& finish,
                      std::span<const Treatment> treatments);

/// "white coating over outside insulation": from the outside inwards.
std::string finish_name(const Finish& finish, std::span<const Treatment> treatments);

}  // namespace noonshell
