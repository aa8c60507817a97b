#include "thermal/thermal_bridge.hpp"

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// Films and the layers that nothing crosses.
double plain_part_m2k_w(std::span<const Layer> layers, std::size_t crossed, double films_m2k_w) {
    double sum = films_m2k_w;
    for (std::size_t i = 0; i < layers.size(); ++i) {
        if (i != crossed) sum += layers[i].resistance();
    }
    return sum;
}

}  // namespace

double bridged_layer_m2k_w(std::span<const Layer> layers, std::size_t crossed, const Bridge& bridge,
                           double films_m2k_w) {
    return bridged_resistance(layers, crossed, bridge, films_m2k_w).mean_m2k_w() -
           plain_part_m2k_w(layers, crossed, films_m2k_w);
}

BridgedResistance bridged_resistance(std::span<const Layer> layers, std::size_t crossed,
                                     const Bridge& bridge, double films_m2k_w) {
    NOONSHELL_CHECK_LT(crossed, layers.size());
    const Layer& layer = layers[crossed];
    NOONSHELL_CHECK_GT(layer.thickness_m, 0.0);
    NOONSHELL_CHECK_GT(bridge.share, 0.0);
    NOONSHELL_CHECK_LT(bridge.share, 1.0);
    const double plain = plain_part_m2k_w(layers, crossed, films_m2k_w);
    const double of_bridge = layer.thickness_m / bridge.material.conductivity_w_mk;
    const double of_layer = layer.resistance();
    const double other_share = 1 - bridge.share;
    return {
        .upper_m2k_w = 1 / (bridge.share / (plain + of_bridge) + other_share / (plain + of_layer)),
        .lower_m2k_w = plain + 1 / (bridge.share / of_bridge + other_share / of_layer)};
}

Layer bridged_layer(std::span<const Layer> layers, std::size_t crossed, const Bridge& bridge,
                    double films_m2k_w) {
    Layer layer = layers[crossed];
    NOONSHELL_CHECK_EQ(layer.resistance_m2k_w.has_value(), false);
    const Material& ribs = bridge.material;
    Material& both = layer.material;
    const double capacity_j_m3k =
        bridge.share * ribs.density_kg_m3 * ribs.specific_heat_j_kgk +
        (1 - bridge.share) * both.density_kg_m3 * both.specific_heat_j_kgk;
    both.density_kg_m3 =
        bridge.share * ribs.density_kg_m3 + (1 - bridge.share) * both.density_kg_m3;
    both.specific_heat_j_kgk = capacity_j_m3k / both.density_kg_m3;
    both.conductivity_w_mk =
        layer.thickness_m / bridged_layer_m2k_w(layers, crossed, bridge, films_m2k_w);
    both.name += " crossed by " + ribs.name;
    return layer;
}

}  // namespace noonshell
