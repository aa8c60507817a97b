// Materials, layers and constructions: what a surface is made of, from outside to inside.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "thermal/air_layers.hpp"
#include "thermal/roughness.hpp"

namespace noonshell {

struct Material {
    std::string name;
    double conductivity_w_mk = 0;
    double density_kg_m3 = 0;
    double specific_heat_j_kgk = 0;
    std::string source;  ///< key of the references list in DEVELOPERS.md, or "common practice"
};

/// What crosses a layer, through its whole thickness, on a share of its area.
struct Bridge {
    Material material;
    double share = 0;      ///< above 0, below 1
    bool goes_on = false;  ///< it is the bridge of the next crossed layer outside, going on inward
};

/// A slab of material, or a resistance without mass (an air layer) when `resistance_m2k_w` is set.
struct Layer {
    Material material;
    double thickness_m = 0;
    std::optional<double> resistance_m2k_w;
    /// Set for a still air gap, see still_gap().
    std::optional<double> gap_emittance{};
    std::optional<Bridge> bridge{};           ///< see set_layer_resistances()
    std::optional<Material> beside_bridge{};  ///< of a crossed slab, set with its `material`

    double resistance() const {
        return resistance_m2k_w ? *resistance_m2k_w : thickness_m / material.conductivity_w_mk;
    }
    /// Heat capacity per area [J/(m2 K)].
    double heat_capacity_j_m2k() const {
        return resistance_m2k_w
                   ? 0.0
                   : thickness_m * material.density_kg_m3 * material.specific_heat_j_kgk;
    }
};

/// A vented gap behind a thin outer sheet. The sheet is lumped: one temperature.
struct VentedCladding {
    Layer sheet;
    double gap_depth_m = 0.05;
    double opening_m2_per_m = 0.02;  ///< free area at the bottom, and again at the top, per m width
    double inner_emittance = 0.9;    ///< of both faces of the gap
    double mesh_open_share = 1;      ///< of an insect mesh in both openings; 1: none
    /// Difference of the wind's pressure coefficients between the openings; 0: wind left out.
    double wind_coefficient = 0;
};

struct Construction {
    std::string name;
    std::vector<Layer> layers;               ///< outside to inside, without the films
    std::optional<VentedCladding> cladding;  ///< outside the layers
    double outside_absorptance = 0.7;        ///< solar, of the outermost face
    /// Of a pane: the share of the sun that it lets in at normal incidence, 0 for opaque parts.
    double solar_transmittance = 0;
    int glass_sheets = 1;  ///< of a pane: how the share falls with the angle, see PaneLight
    double outside_emittance = 0.9;  ///< longwave, of the outermost face
    double inside_emittance = 0.9;
    Roughness roughness = Roughness::very_smooth;  ///< of the outermost face
    HeatFlow gap_flow = HeatFlow::horizontal;  ///< through still gaps, see set_layer_resistances()
};

/// Throws InputError naming `where`, the layer, the value and the rule broken. A slab needs
/// positive thickness, conductivity, density and specific heat; a layer without mass a positive
/// resistance.
void validate(const Layer& layer, std::string_view where);

/// Throws InputError naming the construction, the layer, the value and the rule broken.
void validate(const Construction& construction);

/// Resistance of the layers alone, outside films and cladding left out [m2 K/W].
double layers_resistance_m2k_w(const Construction& construction);

/// Whether a hand that touches the outermost layer meets metal, and whether there is any in the
/// layers: what conducts heat at 10 W/(m K) or more.
bool is_metal_outside(const Construction& construction);
bool holds_metal(const Construction& construction);

/// What is neither taken in nor let through.
inline double solar_reflectance(const Construction& construction) {
    return 1 - construction.outside_absorptance - construction.solar_transmittance;
}

/// Shipped materials, each with its source. Null when unknown.
const Material* find_material(std::string_view name);
const std::vector<Material>& shipped_materials();

/// Bare container wall, roof and floor as shipped defaults (steel sheet; plywood on the floor).
Construction bare_wall();
Construction bare_roof();
Construction bare_floor();

/// A pane of single clear glass, 6 mm.
Construction clear_pane();

}  // namespace noonshell
