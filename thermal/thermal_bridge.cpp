#include "thermal/thermal_bridge.hpp"

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

double through_bridge_m2k_w(const Layer& layer) {
    return layer.thickness_m / layer.bridge->material.conductivity_w_mk;
}

/// Of a plane of one temperature on either side [m2 K/W].
double side_by_side_m2k_w(const Layer& layer) {
    if (!layer.bridge) return layer.resistance();
    return 1 / (layer.bridge->share / through_bridge_m2k_w(layer) +
                (1 - layer.bridge->share) / layer.resistance());
}

/// Conductances of the sections that the crossed layers from `at` on cut out of an area, behind
/// what resists `before`: with no heat between them they add up. `in_bridge` tells in what the
/// section lies that a bridge goes on from.
double sections_w_m2k(std::span<const Layer> layers, std::size_t at, bool in_bridge,
                      double before_m2k_w) {
    for (; at < layers.size(); ++at) {
        const Layer& layer = layers[at];
        if (!layer.bridge) {
            before_m2k_w += layer.resistance();
            continue;
        }
        if (layer.bridge->goes_on) {
            before_m2k_w += in_bridge ? through_bridge_m2k_w(layer) : layer.resistance();
            continue;
        }
        return layer.bridge->share * sections_w_m2k(layers, at + 1, true,
                                                    before_m2k_w + through_bridge_m2k_w(layer)) +
               (1 - layer.bridge->share) *
                   sections_w_m2k(layers, at + 1, false, before_m2k_w + layer.resistance());
    }
    return 1 / before_m2k_w;
}

void check(std::span<const Layer> layers) {
    std::size_t n = 0;
    for (const Layer& layer : layers) {
        if (!layer.bridge) continue;
        NOONSHELL_CHECK_GT(layer.thickness_m, 0.0);
        NOONSHELL_CHECK_GT(layer.bridge->share, 0.0);
        NOONSHELL_CHECK_LT(layer.bridge->share, 1.0);
        if (!layer.bridge->goes_on) ++n;
        NOONSHELL_CHECK_GT(n, 0u);
    }
    NOONSHELL_CHECK_LE(n, 2 * most_bridges);
}

/// With the bridge's material on its share.
Material mixed(const Material& beside, const Bridge& bridge, double conductivity_w_mk) {
    const Material& ribs = bridge.material;
    Material both = beside;
    const double capacity_j_m3k =
        bridge.share * ribs.density_kg_m3 * ribs.specific_heat_j_kgk +
        (1 - bridge.share) * beside.density_kg_m3 * beside.specific_heat_j_kgk;
    both.density_kg_m3 =
        bridge.share * ribs.density_kg_m3 + (1 - bridge.share) * beside.density_kg_m3;
    both.specific_heat_j_kgk = capacity_j_m3k / both.density_kg_m3;
    both.conductivity_w_mk = conductivity_w_mk;
    both.name += " crossed by " + ribs.name;
    return both;
}

}  // namespace

BridgedResistance bridged_resistance(std::span<const Layer> layers, double films_m2k_w) {
    check(layers);
    BridgedResistance found;
    found.upper_m2k_w = 1 / sections_w_m2k(layers, 0, false, films_m2k_w);
    found.lower_m2k_w = films_m2k_w;
    for (const Layer& layer : layers) found.lower_m2k_w += side_by_side_m2k_w(layer);
    return found;
}

BridgedResistance put_bridges(std::vector<Layer>& layers, double films_m2k_w) {
    const BridgedResistance wall = bridged_resistance(layers, films_m2k_w);
    double plain = films_m2k_w, crossed = 0;
    for (const Layer& layer : layers) (layer.bridge ? crossed : plain) += side_by_side_m2k_w(layer);
    for (Layer& layer : layers) {
        if (!layer.bridge) continue;
        const double resistance_m2k_w =
            (wall.mean_m2k_w() - plain) * side_by_side_m2k_w(layer) / crossed;
        if (layer.gap_emittance) {
            layer.resistance_m2k_w = resistance_m2k_w;
            continue;
        }
        layer.beside_bridge = layer.material;
        layer.material =
            mixed(*layer.beside_bridge, *layer.bridge, layer.thickness_m / resistance_m2k_w);
    }
    return wall;
}

}  // namespace noonshell
