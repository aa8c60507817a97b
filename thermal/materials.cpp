// Shipped materials and the default constructions of a freight container.
#include <algorithm>

#include "geometry/diagnostics.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

namespace {

// Values marked "from memory" were not read off the standard's own page.
std::vector<Material> make_materials() {
    return {
        // name, conductivity W/(m K), density kg/m3, specific heat J/(kg K), source
        {"steel", 45.28, 7824, 500, "[ashrae2021] ch. 18 table 18"},
        {"aluminium", 160, 2800, 880, "[iso10456] table 3, from memory"},
        {"plywood", 0.17, 700, 1600, "[iso10456] table 3, from memory"},
        {"osb", 0.13, 650, 1700, "[iso10456] table 3, from memory"},
        {"gypsum board", 0.16, 640, 1150, "[ashrae2021] ch. 26 table 1"},
        {"mineral wool", 0.036, 100, 800, "[ashrae2021] ch. 26 table 1, rock wool board"},
        {"eps", 0.036, 20, 1500, "[ashrae2021] ch. 26 table 1"},
        {"xps", 0.029, 35, 1450,
         "[ashrae2021] ch. 26 table 1, aged; specific heat [iso10456] from memory"},
        {"pir", 0.025, 32, 1500,
         "[ashrae2021] ch. 26 table 1, unfaced, aged; density common practice"},
        {"concrete", 2.0, 2400, 1000, "[iso10456] table 3, from memory"},
        {"glass", 1.0, 2500, 750, "[iso10456] table 3, soda lime glass, from memory"},
        {"dry sand", 0.27, 1515, 800, "[incropera] table A.3, from memory"},
        {"moist soil", 1.5, 1500, 2000, "[iso10456] table 3, clay or silt, from memory"},
    };
}

Layer slab(std::string_view name, double thickness_m) {
    const Material* material = find_material(name);
    NOONSHELL_CHECK_EQ(material != nullptr, true);
    return {*material, thickness_m, {}};
}

}  // namespace

const std::vector<Material>& shipped_materials() {
    static const std::vector<Material> materials = make_materials();
    return materials;
}

const Material* find_material(std::string_view name) {
    const auto& all = shipped_materials();
    const auto found =
        std::find_if(all.begin(), all.end(), [name](const Material& m) { return m.name == name; });
    return found == all.end() ? nullptr : &*found;
}

// Sheet thicknesses: common practice of steel dry containers. Absorptance: "metal, medium" of
// [ashrae2021] ch. 17 table 8; emittance of non-metallic paint, ch. 26 table 2.
Construction bare_wall() {
    Construction wall;
    wall.name = "bare wall";
    wall.layers = {slab("steel", 0.0016)};
    return wall;
}

Construction bare_roof() {
    Construction roof;
    roof.name = "bare roof";
    roof.layers = {slab("steel", 0.0020)};
    return roof;
}

Construction bare_floor() {
    Construction floor;
    floor.name = "bare floor";
    floor.layers = {slab("plywood", 0.028)};
    return floor;
}

// Solar values of uncoated clear glass, 6 mm: transmittance 0.77, reflectance 0.07, absorptance
// 0.16 at normal incidence; diffuse 0.70 and 0.13. Taken between the two; emittance 0.84.
// [ashrae2021] ch. 15, from memory. Left out: the fall of the transmittance at grazing angles.
Construction clear_pane() {
    Construction pane;
    pane.name = "single clear glass";
    pane.layers = {slab("glass", 0.006)};
    pane.outside_absorptance = 0.16;
    pane.solar_transmittance = 0.74;
    pane.outside_emittance = pane.inside_emittance = 0.84;
    return pane;
}

}  // namespace noonshell
