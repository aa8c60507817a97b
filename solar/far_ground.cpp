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

double mean_ground_albedo(const Envelope& envelope, const ExchangeMatrix& exchange,
                          const FarAlbedo& albedo, std::span<const double> reflectance,
                          std::size_t n_surfaces) {
    const ExchangeNet& net = exchange.part_net;
    const std::vector<double> far = light_off_far_ground(envelope, exchange, albedo);
    double seen = 0, thrown = 0;
    for (std::uint32_t p = 0; p < exchange.parts.surface_begin[n_surfaces]; ++p) {
        seen += net.area_m2[p] * net.ground_share[p];
        thrown += net.area_m2[p] * far[p];
        for (auto e = net.row_begin[p]; e < net.row_begin[p + 1]; ++e) {
            if (net.column[e] < exchange.parts.first_ground) continue;
            const double share = net.area_m2[p] * net.share[e];
            seen += share;
            thrown += share * reflectance[exchange.parts.surface[net.column[e]].index()];
        }
    }
    return seen > 0 ? thrown / seen : albedo.elsewhere;
}

}  // namespace noonshell
