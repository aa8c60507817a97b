#include "thermal/gap_layers.hpp"

namespace noonshell {

namespace {

constexpr double other_face_emittance = 0.9, mean_gap_c = 30;

}  // namespace

Layer still_gap(double thickness_m, double emittance) {
    Layer gap;
    gap.material.name = "still air";
    gap.thickness_m = thickness_m;
    gap.gap_emittance = emittance;
    gap.resistance_m2k_w = still_air_layer_m2k_w(thickness_m, HeatFlow::horizontal, emittance,
                                                 other_face_emittance, mean_gap_c);
    return gap;
}

HeatFlow flow_into_room(double tilt_deg) {
    constexpr double steep_deg = 60, hanging_deg = 120;
    if (tilt_deg < steep_deg) return HeatFlow::down;
    return tilt_deg > hanging_deg ? HeatFlow::up : HeatFlow::horizontal;
}

BridgedResistance set_layer_resistances(std::vector<Layer>& layers, HeatFlow flow) {
    for (Layer& layer : layers) {
        if (layer.gap_emittance)
            layer.resistance_m2k_w = still_air_layer_m2k_w(
                layer.thickness_m, flow, *layer.gap_emittance, other_face_emittance, mean_gap_c);
        if (layer.beside_bridge) layer.material = *layer.beside_bridge;
    }
    constexpr double outside_m2k_w = 0.04;  // [iso6946]
    return put_bridges(layers, inside_surface_resistance_m2k_w(flow) + outside_m2k_w);
}

}  // namespace noonshell
