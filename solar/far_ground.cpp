#include "solar/far_ground.hpp"

#include "geometry/diagnostics.hpp"

namespace noonshell {

double light_off_far_ground(const ExchangeMatrix& exchange, const FarAlbedo& albedo,
                            std::size_t facet) {
    double light = 0;
    each_far_ground(exchange, albedo, facet,
                    [&light](double share, double of_kind) { light += share * of_kind; });
    return light;
}

std::vector<double> light_off_far_ground(const Envelope& envelope, const ExchangeMatrix& exchange,
                                         const FarAlbedo& albedo) {
    const std::size_t n = albedo.regions.size();
    NOONSHELL_CHECK_EQ(exchange.region_share.size(), exchange.n_facets * n);
    std::vector<double> light;
    for (const double share : exchange.part_net.ground_share) {
        light.push_back(albedo.elsewhere * share);
    }
    for (std::size_t f = 0; n > 0 && f < exchange.n_facets; ++f) {
        const PartId part = exchange.parts.of_facet[f];
        if (!part.valid()) continue;
        const double of_part = envelope.facets.area_m2[f] / exchange.part_net.area_m2[part.index()];
        for (std::size_t r = 0; r < n; ++r) {
            light[part.index()] +=
                of_part * exchange.region_share[f * n + r] * (albedo.regions[r] - albedo.elsewhere);
        }
    }
    return light;
}

}  // namespace noonshell
