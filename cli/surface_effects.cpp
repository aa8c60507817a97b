#include "cli/surface_effects.hpp"

#include <algorithm>

namespace noonshell {

std::span<const Effect> effects_on(const Ranking& ranking, SurfaceId surface) {
    const auto& all = ranking.effects;
    const auto begin = std::partition_point(
        all.begin(), all.end(), [surface](const Effect& e) { return e.surface < surface; });
    const auto end =
        std::find_if(begin, all.end(), [surface](const Effect& e) { return e.surface != surface; });
    return {begin, end};
}

const Effect* best_effect_on(const Ranking& ranking, SurfaceId surface) {
    if (ranking.rank[surface.index()] == 0) return nullptr;
    const std::span<const Effect> effects = effects_on(ranking, surface);
    const auto best =
        std::max_element(effects.begin(), effects.end(), [](const Effect& a, const Effect& b) {
            return a.saves_kwh_per_cost() < b.saves_kwh_per_cost();
        });
    return best == effects.end() ? nullptr : &*best;
}

}  // namespace noonshell
