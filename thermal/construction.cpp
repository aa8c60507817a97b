#include "thermal/construction.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

std::string number(double value) {
    std::ostringstream text;
    text << value;
    return text.str();
}

// Thickest slab that is taken for a slab and not for a length in the wrong unit.
constexpr double thickest_m = 20.0;

void require(bool holds, const std::string& entity, const char* expected, double seen) {
    if (!holds) throw InputError({"", {}, {}, entity}, expected, number(seen));
}

void require_positive(double value, const std::string& entity, const char* expected) {
    require(std::isfinite(value) && value > 0, entity, expected, value);
}

void require_fraction(double value, const std::string& entity, const char* expected) {
    require(value >= 0 && value <= 1, entity, expected, value);
}

void validate(const VentedCladding& cladding, const std::string& where) {
    validate(cladding.sheet, where);
    require_positive(cladding.gap_depth_m, where + ": gap_depth_m", "a gap depth above 0 m");
    require(cladding.gap_depth_m <= 1, where + ": gap_depth_m", "a gap depth of at most 1 m",
            cladding.gap_depth_m);
    require(std::isfinite(cladding.opening_m2_per_m) && cladding.opening_m2_per_m >= 0,
            where + ": opening_m2_per_m", "a free area of 0 m2 per m or more",
            cladding.opening_m2_per_m);
    require(cladding.inner_emittance > 0 && cladding.inner_emittance <= 1,
            where + ": inner_emittance", "an emittance above 0 and up to 1",
            cladding.inner_emittance);
    require(cladding.mesh_open_share > 0 && cladding.mesh_open_share <= 1,
            where + ": mesh_open_share", "an open share above 0 and up to 1",
            cladding.mesh_open_share);
    require(cladding.wind_coefficient >= 0 && cladding.wind_coefficient <= 2,
            where + ": wind_coefficient", "a difference of pressure coefficients from 0 to 2",
            cladding.wind_coefficient);
}

/// Metals conduct at 10 W/(m K) and more, stone, wood, glass and plastics at 4 at most.
bool is_metal(const Layer& layer) {
    constexpr double of_metals_w_mk = 10;
    return !layer.resistance_m2k_w && layer.material.conductivity_w_mk >= of_metals_w_mk;
}

}  // namespace

void validate(const Layer& layer, std::string_view where) {
    std::string entity(where);
    if (!layer.material.name.empty()) entity += ": " + layer.material.name;
    if (layer.resistance_m2k_w) {
        require_positive(*layer.resistance_m2k_w, entity + ": resistance_m2k_w",
                         "a resistance above 0 m2 K/W");
        return;
    }
    require_positive(layer.thickness_m, entity + ": thickness_m", "a thickness above 0 m");
    require(layer.thickness_m <= thickest_m, entity + ": thickness_m",
            "a thickness of at most 20 m", layer.thickness_m);
    require_positive(layer.material.conductivity_w_mk, entity + ": conductivity_w_mk",
                     "a conductivity above 0 W/(m K)");
    require_positive(layer.material.density_kg_m3, entity + ": density_kg_m3",
                     "a density above 0 kg/m3");
    require_positive(layer.material.specific_heat_j_kgk, entity + ": specific_heat_j_kgk",
                     "a specific heat above 0 J/(kg K)");
}

void validate(const Construction& construction) {
    const std::string where = "construction \"" + construction.name + "\"";
    if (construction.layers.empty())
        throw InputError({"", {}, {}, where}, "at least one layer", "none");
    for (std::size_t i = 0; i < construction.layers.size(); ++i)
        validate(construction.layers[i], where + ": layer " + std::to_string(i + 1));
    if (construction.cladding) validate(*construction.cladding, where + ": cladding");
    require_fraction(construction.outside_absorptance, where + ": outside_absorptance",
                     "an absorptance from 0 to 1");
    require_fraction(construction.solar_transmittance, where + ": solar_transmittance",
                     "a transmittance from 0 to 1");
    require(solar_reflectance(construction) >= -1e-12, where + ": solar_transmittance",
            "at most 1 together with outside_absorptance",
            construction.solar_transmittance + construction.outside_absorptance);
    require_fraction(construction.outside_emittance, where + ": outside_emittance",
                     "an emittance from 0 to 1");
    require(construction.inside_emittance > 0 && construction.inside_emittance <= 1,
            where + ": inside_emittance", "an emittance above 0 and up to 1",
            construction.inside_emittance);
}

bool is_metal_outside(const Construction& construction) {
    return is_metal(construction.cladding ? construction.cladding->sheet
                                          : construction.layers.front());
}

bool holds_metal(const Construction& construction) {
    return std::ranges::any_of(construction.layers, is_metal);
}

double layers_resistance_m2k_w(const Construction& construction) {
    double sum = 0;
    for (const Layer& layer : construction.layers) sum += layer.resistance();
    return sum;
}

}  // namespace noonshell
