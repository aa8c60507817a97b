// The ground beyond all ground facets: level, endless, in full sun; parts of it may have another
// albedo.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"

namespace noonshell {

/// Solar albedo of the far ground: of its regions in their order, and of all the rest.
struct FarAlbedo {
    double elsewhere = 0;
    std::vector<double> regions{};
};

/// Calls take(share, albedo) for every kind of far ground that a facet sees; the shares add up to
/// the facet's ground share. `exchange` was traced with as many regions as have an albedo.
template <typename Take>
void each_far_ground(const ExchangeMatrix& exchange, const FarAlbedo& albedo, std::size_t facet,
                     const Take& take) {
    double rest = exchange.ground_share[facet];
    const std::size_t n = albedo.regions.size();
    for (std::size_t r = 0; r < n; ++r) {
        const double share = exchange.region_share[facet * n + r];
        if (share <= 0) continue;
        take(share, albedo.regions[r]);
        rest -= share;
    }
    take(rest, albedo.elsewhere);
}

/// Light that far ground throws onto a facet where open ground gets 1 W/m2.
double light_off_far_ground(const ExchangeMatrix& exchange, const FarAlbedo& albedo,
                            std::size_t facet);

/// The same as means over the parts, #parts.
std::vector<double> light_off_far_ground(const Envelope& envelope, const ExchangeMatrix& exchange,
                                         const FarAlbedo& albedo);

/// Mean albedo of the ground that the building's parts see, near and far, by area and share.
/// `reflectance` is that of all surfaces, #surfaces with context and ground; `n_surfaces` of these
/// are the building's. The albedo elsewhere where they see none.
double mean_ground_albedo(const Envelope& envelope, const ExchangeMatrix& exchange,
                          const FarAlbedo& albedo, std::span<const double> reflectance,
                          std::size_t n_surfaces);

}  // namespace noonshell
