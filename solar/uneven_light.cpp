#include "solar/uneven_light.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <utility>

namespace noonshell {

namespace {

/// Mean place of each part's facets by area, #parts.
std::vector<Vec3> middles_of(const Envelope& scenery, const LightParts& parts) {
    std::vector<Vec3> middle(parts.size(), Vec3(0, 0, 0));
    for (std::size_t f = 0; f < parts.of_facet.size(); ++f) {
        if (!parts.of_facet[f].valid()) continue;
        const std::size_t p = parts.of_facet[f].index();
        middle[p] += scenery.facets.area_m2[f] / parts.area_m2[p] * scenery.facets.centroid_m[f];
    }
    return middle;
}

/// Parts of one surface and about one size whose middles share a cell of twice their edge: the
/// number of the group, #parts.
std::vector<std::size_t> joined_by_fours(const Envelope& scenery, const LightParts& parts) {
    const std::vector<Vec3> middle = middles_of(scenery, parts);
    std::vector<std::size_t> group(parts.size());
    std::size_t n_groups = 0;
    for (std::size_t s = 0; s + 1 < parts.surface_begin.size(); ++s) {
        const std::uint32_t begin = parts.surface_begin[s], end = parts.surface_begin[s + 1];
        if (begin == end) continue;
        Vec3 low = middle[begin];
        double largest_m2 = 0;
        for (std::uint32_t p = begin; p < end; ++p) {
            low = low.cwiseMin(middle[p]);
            largest_m2 = std::max(largest_m2, parts.area_m2[p]);
        }
        const double largest_m = std::sqrt(largest_m2);
        std::map<std::array<long, 4>, std::size_t> cells;
        for (std::uint32_t p = begin; p < end; ++p) {
            const long level = std::lround(std::log2(largest_m / std::sqrt(parts.area_m2[p])));
            const double edge_m = std::ldexp(largest_m, static_cast<int>(-level));
            std::array<long, 4> cell{level};
            for (int k = 0; k < 3; ++k) {
                const double from_low = (middle[p][k] - low[k]) / edge_m;
                cell[static_cast<std::size_t>(k) + 1] = std::lround(std::floor(from_low + 0.5)) / 2;
            }
            const auto [place, is_new] = cells.emplace(cell, n_groups);
            group[p] = place->second;
            n_groups += is_new ? 1 : 0;
        }
    }
    return group;
}

}  // namespace

std::vector<double> leaving_over_all_bins(const Exposure& exposure) {
    std::vector<double> sum(exposure.n_parts, 0.0);
    for (std::size_t i = 0; i < exposure.leaving_by_bin_wh_m2.size(); ++i) {
        sum[i % exposure.n_parts] += exposure.leaving_by_bin_wh_m2[i];
    }
    return sum;
}

UnevenLight uneven_light(const Envelope& scenery, const LightParts& parts,
                         const Exposure& exposure) {
    UnevenLight light;
    light.group = joined_by_fours(scenery, parts);
    const std::vector<double> leaving = leaving_over_all_bins(exposure);
    std::vector<double> area_m2(parts.size(), 0.0), light_wh(parts.size(), 0.0);
    for (std::size_t p = 0; p < parts.size(); ++p) {
        area_m2[light.group[p]] += parts.area_m2[p];
        light_wh[light.group[p]] += parts.area_m2[p] * leaving[p];
    }
    for (std::size_t p = 0; p < parts.size(); ++p) {
        const std::size_t g = light.group[p];
        light.apart_wh_m2.push_back(light_wh[g] / area_m2[g] - leaving[p]);
    }
    return light;
}

std::vector<PartId> most_uneven_parts(const Envelope& scenery, const ExchangeMatrix& exchange,
                                      const UnevenLight& light, SurfaceId surface,
                                      double share_left) {
    std::map<std::size_t, double> effect_of_group;
    const Surface& seeing = scenery.surfaces[surface.index()];
    for (std::size_t f = seeing.first_facet; f < seeing.first_facet + seeing.n_facets; ++f) {
        const double area_m2 = scenery.facets.area_m2[f];
        for (auto e = exchange.row_begin[f]; e < exchange.row_begin[f + 1]; ++e) {
            const std::size_t p = exchange.column[e].index();
            effect_of_group[light.group[p]] += area_m2 * exchange.share[e] * light.apart_wh_m2[p];
        }
    }
    std::vector<std::pair<double, std::size_t>> effects;  // the largest first
    double left = 0;
    for (const auto& [group, effect] : effect_of_group) {
        effects.emplace_back(-std::abs(effect), group);
        left += std::abs(effect);
    }
    std::sort(effects.begin(), effects.end());
    const double enough = share_left * left;
    std::vector<std::uint8_t> is_chosen(light.group.size(), 0);
    for (const auto& [negative, group] : effects) {
        if (left <= enough) break;
        left += negative;
        is_chosen[group] = 1;
    }
    std::vector<PartId> parts;
    for (std::size_t p = 0; p < light.group.size(); ++p) {
        if (is_chosen[light.group[p]] != 0) parts.emplace_back(p);
    }
    return parts;
}

}  // namespace noonshell
