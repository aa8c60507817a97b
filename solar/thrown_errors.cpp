#include "solar/thrown_errors.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "solar/uneven_light.hpp"

namespace noonshell {

namespace {

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
          uneven_(uneven_light(scenery, parts_, exposure)),
          variance_(variance_of_parts(scenery, parts_, exposure, facets)),
          rays_per_m2_(parts_.size(), 0.0),
          shift_of_group_(parts_.size(), 0.0),
          squares_(exposure.n_surfaces) {
        for (const double light : exposure.open_ground_by_bin_wh_m2) open_ground_ += light;
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
        each_far_ground(exchange_, exposure_.far_albedo, f, [&](double share, double albedo) {
            ground.add(share, albedo * open_ground_);
        });
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
        BothKinds shift, squares;
        for (const std::uint32_t p : seen) {
            const bool is_ground = p >= first_ground_;
            squares_[s].of(is_ground) += share[p] * share[p] * variance_[p];
            shift.of(is_ground) += share[p] * uneven_.apart_wh_m2[p];
            shift_of_group_[uneven_.group[p]] += share[p] * uneven_.apart_wh_m2[p];
            share[p] = 0;
        }
        for (const std::uint32_t p : seen) {
            double& of_group = shift_of_group_[uneven_.group[p]];
            squares.of(p >= first_ground_) += of_group * of_group;
            of_group = 0;
        }
        double both = 0;
        for (const bool is_ground : {false, true}) {
            const double square = 0.25 * (std::pow(shift.of(is_ground), 2) + squares.of(is_ground));
            squares_[s].of(is_ground) += square;
            both += square;
        }
        return std::sqrt(both);
    }

    const Envelope& scenery_;
    const ExchangeMatrix& exchange_;
    const Exposure& exposure_;
    const LightParts& parts_;
    std::size_t first_ground_;
    double open_ground_ = 0;
    std::vector<double> leaving_;  // #parts
    UnevenLight uneven_;
    std::vector<double> variance_, rays_per_m2_;  // #parts
    std::vector<double> shift_of_group_;          // zeros between surfaces; at most #parts groups
    std::vector<BothKinds> squares_;              // #surfaces of the building
};

}  // namespace

void set_thrown_errors(const Envelope& scenery, const ExchangeMatrix& exchange,
                       const Exposure& exposure, const FacetSun& facets, SurfaceSun& surfaces) {
    ThrownErrors(scenery, exchange, exposure, facets).set(surfaces);
}

}  // namespace noonshell
