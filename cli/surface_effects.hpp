// The effects of treatments on one surface, out of a ranking.
#pragma once

#include <span>

#include "thermal/ranking.hpp"

namespace noonshell {

/// Effects are ordered by surface: those of one stand together. May be empty.
std::span<const Effect> effects_on(const Ranking& ranking, SurfaceId surface);

/// The one that saves most per cost, the first of equals; null for a surface without a rank.
const Effect* best_effect_on(const Ranking& ranking, SurfaceId surface);

}  // namespace noonshell
