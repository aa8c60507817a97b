#include "solar/thrown_errors.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <vector>

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

std::vector<double> leaving_over_all_bins(const Exposure& exposure) {
    std::vector<double> sum(exposure.n_parts, 0.0);
    for (std::size_t i = 0; i < exposure.leaving_by_bin_wh_m2.size(); ++i) {
        sum[i % exposure.n_parts] += exposure.leaving_by_bin_wh_m2[i];
    }
    return sum;
}

/// What each part would send were its group even, less what it sends, #parts.
std::vector<double> unevenness(const Envelope& scenery, const LightParts& parts,
                               const Exposure& exposure) {
    const std::vector<std::size_t> group = joined_by_fours(scenery, parts);
    const std::vector<double> leaving = leaving_over_all_bins(exposure);
    std::vector<double> area_m2(parts.size(), 0.0), light_wh(parts.size(), 0.0);
    for (std::size_t p = 0; p < parts.size(); ++p) {
        area_m2[group[p]] += parts.area_m2[p];
        light_wh[group[p]] += parts.area_m2[p] * leaving[p];
    }
    std::vector<double> apart;
    for (std::size_t p = 0; p < parts.size(); ++p) {
        apart.push_back(light_wh[group[p]] / area_m2[group[p]] - leaving[p]);
    }
    return apart;
}

/// Variance of what leaves each part for the sampling of sun and sky on it, #parts.
std::vector<double> variance_of_parts(const Envelope& scenery, const LightParts& parts,
                                      const Exposure& exposure, const FacetSun& facets) {
    std::vector<double> variance(parts.size(), 0.0);
    for (std::size_t f = 0; f < parts.of_facet.size(); ++f) {
        if (!parts.of_facet[f].valid()) continue;
        const std::size_t p = parts.of_facet[f].index();
        const double reflected = exposure.reflectance[parts.surface[p].index()] *
                                 scenery.facets.area_m2[f] / parts.area_m2[p];
        const double error =
            std::hypot(facets.direct_standard_error_wh_m2[f], facets.sky_standard_error_wh_m2[f]);
        variance[p] += std::pow(reflected * error, 2);
    }
    return variance;
}

/// Of bounced light and of light from the ground.
struct BothKinds {
    double bounced = 0, ground = 0;

    double& of(bool from_ground) { return from_ground ? ground : bounced; }
};

/// Works out what the surfaces have in common, then one after the other.
class ThrownErrors {
  public:
    ThrownErrors(const Envelope& scenery, const ExchangeMatrix& exchange, const Exposure& exposure,
                 const FacetSun& facets)
        : scenery_(scenery),
          exchange_(exchange),
          exposure_(exposure),
          parts_(exchange.parts),
          first_ground_(parts_.first_ground),
          leaving_(leaving_over_all_bins(exposure)),
          apart_(unevenness(scenery, parts_, exposure)),
          variance_(variance_of_parts(scenery, parts_, exposure, facets)),
          rays_per_m2_(parts_.size(), 0.0),
          squares_(exposure.n_surfaces) {
        for (const double far : exposure.far_ground_by_bin_wh_m2) far_ground_ += far;
        for (std::size_t f = 0; f < parts_.of_facet.size(); ++f) {
            if (!parts_.of_facet[f].valid()) continue;
            const std::size_t p = parts_.of_facet[f].index();
            rays_per_m2_[p] += exchange.n_rays[f] / parts_.area_m2[p];
        }
    }

    void set(SurfaceSun& surfaces) {
        for (std::size_t f = 0; f < parts_.of_facet.size(); ++f) {
            if (parts_.of_facet[f].valid() && exchange_.n_rays[f] > 0) count_rays(f);
        }
        std::vector<double> share(parts_.size(), 0.0);
        for (std::size_t s = 0; s < exposure_.n_surfaces; ++s) {
            surfaces.unevenness_wh_m2[s] = add_sources(s, share);
        }
        for (std::size_t s = 0; s < exposure_.n_surfaces; ++s) {
            surfaces.bounced_standard_error_wh_m2[s] = std::sqrt(squares_[s].bounced);
            surfaces.ground_standard_error_wh_m2[s] = std::sqrt(squares_[s].ground);
        }
    }

  private:
    /// How much the rays of `from` count for what it exchanges with `to`.
    double weight(std::size_t from, std::size_t to) const {
        return rays_per_m2_[from] / (rays_per_m2_[from] + rays_per_m2_[to]);
    }

    /// Sums over rays of what each brings, and of its square.
    struct RaySums {
        double first = 0, second = 0;

        void add(double share, double light) {
            first += share * light;
            second += share * light * light;
        }
        /// Of the mean of n rays; `stratum` is the exact share of them that may bring anything.
        double variance(double stratum, double n) const {
            if (stratum <= 0) return 0;
            const double variance = second - first * first / stratum;
            return variance > 1e-12 * second ? variance / n : 0.0;  // less is rounding
        }
    };

    /// The rays of a facet tell what its own surface gets, and what every surface gets that they
    /// meet.
    void count_rays(std::size_t f) {
        const std::size_t own = parts_.of_facet[f].index();
        const std::size_t own_surface = scenery_.facets.surface[f].index();
        const double area_m2 = scenery_.facets.area_m2[f];
        const double n = exchange_.n_rays[f] / exchange_.evenness[f];
        const bool is_ground = own >= first_ground_;
        RaySums bounced, ground, there;
        ground.add(exchange_.ground_share[f], far_ground_);
        std::size_t met = exposure_.n_surfaces;
        const auto finish = [&] {
            if (met < exposure_.n_surfaces) {
                squares_[met].of(is_ground) +=
                    std::pow(area_m2 / scenery_.surfaces[met].area_m2, 2) * there.variance(1, n);
            }
            there = {};
        };
        for (auto e = exchange_.row_begin[f]; e < exchange_.row_begin[f + 1]; ++e) {
            const std::size_t p = exchange_.column[e].index();
            const double share = exchange_.share[e];
            (p < first_ground_ ? bounced : ground).add(share, weight(own, p) * leaving_[p]);
            const std::size_t surface = parts_.surface[p].index();
            if (surface != met) finish();
            met = surface;
            there.add(share, weight(own, p) * leaving_[own]);
        }
        finish();
        if (own_surface >= exposure_.n_surfaces) return;
        const double squared = std::pow(area_m2 / scenery_.surfaces[own_surface].area_m2, 2);
        const double downward = 0.5 * (1 - scenery_.facets.normal[f].z());
        squares_[own_surface].bounced += squared * bounced.variance(1, n);
        squares_[own_surface].ground += squared * ground.variance(downward, n);
    }

    /// Returns what the light's unevenness does. `share`: zeros, #parts, and left so.
    double add_sources(std::size_t s, std::vector<double>& share) {
        const Surface& surface = scenery_.surfaces[s];
        std::vector<std::uint32_t> seen;
        for (std::size_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            const double of_surface = scenery_.facets.area_m2[f] / surface.area_m2;
            for (auto e = exchange_.row_begin[f]; e < exchange_.row_begin[f + 1]; ++e) {
                const std::uint32_t p = exchange_.column[e].value;
                if (share[p] <= 0) seen.push_back(p);
                share[p] += of_surface * exchange_.share[e];
            }
        }
        BothKinds shift;
        for (const std::uint32_t p : seen) {
            const bool is_ground = p >= first_ground_;
            squares_[s].of(is_ground) += share[p] * share[p] * variance_[p];
            shift.of(is_ground) += share[p] * apart_[p];
            share[p] = 0;
        }
        for (const bool is_ground : {false, true}) {
            squares_[s].of(is_ground) += std::pow(0.5 * shift.of(is_ground), 2);
        }
        return 0.5 * std::hypot(shift.bounced, shift.ground);
    }

    const Envelope& scenery_;
    const ExchangeMatrix& exchange_;
    const Exposure& exposure_;
    const LightParts& parts_;
    std::size_t first_ground_;
    double far_ground_ = 0;
    std::vector<double> leaving_, apart_, variance_, rays_per_m2_;  // #parts
    std::vector<BothKinds> squares_;                                // #surfaces of the building
};

}  // namespace

void set_thrown_errors(const Envelope& scenery, const ExchangeMatrix& exchange,
                       const Exposure& exposure, const FacetSun& facets, SurfaceSun& surfaces) {
    ThrownErrors(scenery, exchange, exposure, facets).set(surfaces);
}

}  // namespace noonshell
