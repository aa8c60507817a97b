#include "cli/default_treatments.hpp"

#include <string_view>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

Layer slab(std::string_view name, double thickness_m) {
    const Material* material = find_material(name);
    NOONSHELL_CHECK_EQ(material != nullptr, true);
    return {*material, thickness_m, {}};
}

// Prices and lives: invented. Reflectance of a white coating, new and after some years: 0.80
// falling by 20 to 25 %, common practice. Weathered light metal: [ashrae2021] ch. 17 table 8.
Treatment white_coating() {
    Treatment coating;
    coating.name = "white coating";
    coating.kind = TreatmentKind::coating;
    coating.cost_per_m2 = 12;
    coating.fixed_cost = 40;
    coating.life_years = 10;
    coating.new_reflectance = 0.80;
    coating.aged_reflectance = 0.62;
    return coating;
}

Treatment outside_insulation() {
    Treatment insulation;
    insulation.name = "outside insulation";
    insulation.kind = TreatmentKind::outside_insulation;
    insulation.cost_per_m2 = 65;
    insulation.fixed_cost = 120;
    insulation.life_years = 25;
    insulation.new_reflectance = 0.50;
    insulation.aged_reflectance = 0.45;
    insulation.added = {slab("steel", 0.0006), slab("pir", 0.060)};
    return insulation;
}

Treatment vented_cladding() {
    Treatment cladding;
    cladding.name = "vented cladding";
    cladding.kind = TreatmentKind::vented_cladding;
    cladding.cost_per_m2 = 55;
    cladding.fixed_cost = 150;
    cladding.life_years = 25;
    cladding.new_reflectance = 0.50;
    cladding.aged_reflectance = 0.45;
    cladding.cladding = VentedCladding{slab("steel", 0.0006), 0.050, 0.020, 0.9};
    return cladding;
}

// A reflecting film on clear glass: common practice.
Treatment solar_film() {
    Treatment film;
    film.name = "solar film";
    film.kind = TreatmentKind::window_film;
    film.surfaces = {"*"};
    film.cost_per_m2 = 60;
    film.fixed_cost = 20;
    film.life_years = 10;
    film.film = WindowFilm{.g_value = 0.35, .solar_reflectance = 0.35, .u_value_w_m2k = {}};
    return film;
}

}  // namespace

std::vector<Treatment> example_treatments() {
    return {white_coating(), outside_insulation(), vented_cladding(), solar_film()};
}

}  // namespace noonshell
