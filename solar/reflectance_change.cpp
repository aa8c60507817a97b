#include "solar/reflectance_change.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// The same between exposed parts.
std::vector<double> coupling_of_exposed(const ExchangeMatrix& exchange,
                                        std::span<const double> reflectance, SurfaceId k) {
    constexpr int most_bounces = 500;
    constexpr double settled = 1e-12;
    std::vector<double> straight(exchange.n_surfaces, 0.0);
    for (std::size_t j = 0; j < exchange.n_surfaces; ++j) {
        for (auto e = exchange.surface_row_begin[j]; e < exchange.surface_row_begin[j + 1]; ++e) {
            if (exchange.surface_column[e] == k) straight[j] = exchange.surface_share[e];
        }
    }
    // x = F e_k + F R x by repeated bounces; each is weaker than the last by the reflectance.
    std::vector<double> light = straight;
    for (int bounce = 0; bounce < most_bounces; ++bounce) {
        double moved = 0;
        std::vector<double> next = straight;
        for (std::size_t j = 0; j < exchange.n_surfaces; ++j) {
            for (auto e = exchange.surface_row_begin[j]; e < exchange.surface_row_begin[j + 1];
                 ++e) {
                const std::size_t from = exchange.surface_column[e].index();
                next[j] += exchange.surface_share[e] * reflectance[from] * light[from];
            }
            moved = std::max(moved, std::abs(next[j] - light[j]));
        }
        light.swap(next);
        if (moved < settled) break;
    }
    return light;
}

}  // namespace

std::vector<double> light_coupling(const Envelope& envelope, const ExchangeMatrix& exchange,
                                   std::span<const double> reflectance, SurfaceId k) {
    NOONSHELL_CHECK_EQ(reflectance.size(), exchange.n_surfaces);
    NOONSHELL_CHECK_EQ(envelope.surfaces.size(), exchange.n_surfaces);
    const auto exposed_part = [&envelope](std::size_t s) {
        const Surface& surface = envelope.surfaces[s];
        return surface.area_m2 > 0 ? surface.exposed_area_m2 / surface.area_m2 : 0.0;
    };
    const double part = exposed_part(k.index());
    if (part <= 0) return std::vector<double>(exchange.n_surfaces, 0.0);
    std::vector<double> coupling = coupling_of_exposed(exchange, reflectance, k);
    for (std::size_t j = 0; j < coupling.size(); ++j) coupling[j] *= exposed_part(j) / part;
    return coupling;
}

}  // namespace noonshell
