#include "thermal/treatment.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "geometry/diagnostics.hpp"
#include "geometry/roles.hpp"
#include "thermal/gap_layers.hpp"

namespace noonshell {

namespace {

void require(bool holds, const Treatment& treatment, const char* field, const char* expected,
             double seen) {
    if (holds) return;
    throw InputError({.entity = "treatment \"" + treatment.name + "\": " + field}, expected,
                     std::to_string(seen));
}

void check_share(const Treatment& treatment, const char* field, double value) {
    require(value >= 0 && value <= 1, treatment, field, "0 to 1", value);
}

void validate_film(const Treatment& treatment) {
    const WindowFilm& film = *treatment.film;
    check_share(treatment, "pane_g_value", film.g_value);
    const double reflectance = film.solar_reflectance.value_or(0);
    check_share(treatment, "pane_solar_reflectance", reflectance);
    require(film.g_value + reflectance <= 1, treatment, "pane_g_value",
            "at most 1 together with pane_solar_reflectance", film.g_value + reflectance);
    require(film.u_value_w_m2k.value_or(1) > 0, treatment, "pane_u_value_w_m2k", "more than 0",
            film.u_value_w_m2k.value_or(1));
    require(treatment.added.empty(), treatment, "layers", "none on a pane",
            static_cast<double>(treatment.added.size()));
}

}  // namespace

std::string_view to_string(TreatmentKind kind) {
    switch (kind) {
        case TreatmentKind::coating:
            return "coating";
        case TreatmentKind::outside_insulation:
            return "outside insulation";
        case TreatmentKind::vented_cladding:
            return "vented cladding";
        case TreatmentKind::window_film:
            return "window film";
    }
    return "unknown";
}

void validate(const Treatment& treatment) {
    check_share(treatment, "new_reflectance", treatment.new_reflectance);
    check_share(treatment, "aged_reflectance", treatment.aged_reflectance);
    require(treatment.emittance > 0 && treatment.emittance <= 1, treatment, "emittance",
            "more than 0, up to 1", treatment.emittance);
    require(treatment.cost_per_m2 >= 0 && std::isfinite(treatment.cost_per_m2), treatment,
            "cost_per_m2", "0 or more", treatment.cost_per_m2);
    require(treatment.fixed_cost >= 0 && std::isfinite(treatment.fixed_cost), treatment,
            "fixed_cost", "0 or more", treatment.fixed_cost);
    const auto none_or_more = [&](const char* field, double value) {
        require(value >= 0 && std::isfinite(value), treatment, field, "0 or more", value);
    };
    none_or_more("least_area_m2", treatment.least_area_m2);
    none_or_more("waste_share", treatment.waste_share);
    none_or_more("call_out_cost", treatment.call_out_cost);
    none_or_more("upkeep_per_m2_year", treatment.upkeep_per_m2_year);
    none_or_more("recoat_per_m2", treatment.recoat_per_m2);
    none_or_more("recoat_years", treatment.recoat_years);
    require(treatment.call_out_cost <= 0 || !treatment.call_out.empty(), treatment, "call_out_cost",
            "a call_out that it is the price of", treatment.call_out_cost);
    require(treatment.recoat_per_m2 <= 0 || treatment.recoat_years > 0, treatment, "recoat_years",
            "more than 0 where a new coat has a price", treatment.recoat_years);
    require(treatment.life_years > 0, treatment, "life_years", "more than 0", treatment.life_years);
    require(treatment.kind != TreatmentKind::vented_cladding || treatment.cladding.has_value(),
            treatment, "gap_mm", "a gap for a vented cladding", 0);
    require(treatment.kind != TreatmentKind::outside_insulation || !treatment.added.empty(),
            treatment, "thickness_mm", "a layer for an outside insulation", 0);
    require(treatment.is_of_panes() == treatment.film.has_value(), treatment, "pane_g_value",
            "one for a window film and none for what is no film", 0);
    if (treatment.film) validate_film(treatment);
}

bool fits(const Treatment& treatment, const Surface& surface) {
    const auto matches = [&](const std::string& pattern) {
        return matches_pattern(pattern, surface.id);
    };
    constexpr double least_m2 = 1e-6;
    return surface.unit.valid() && (surface.kind == SurfaceKind::pane) == treatment.is_of_panes() &&
           surface.exposed_area_m2 > least_m2 &&
           surface.exposed_area_m2 >= treatment.least_area_m2 &&
           std::any_of(treatment.surfaces.begin(), treatment.surfaces.end(), matches) &&
           std::none_of(treatment.not_on.begin(), treatment.not_on.end(), matches);
}

bool leaves_air_still(const Treatment& treatment, const Surface& surface) {
    if (!treatment.cladding || treatment.cladding->opening_m2_per_m <= 0 ||
        treatment.cladding->wind_coefficient > 0)
        return false;
    constexpr double level_sine = 1e-6;
    const double sine = std::sin(surface.tilt_deg * std::numbers::pi / 180);
    return sine < level_sine && fits(treatment, surface);
}

double ordered_area_m2(const Treatment& treatment, double exposed_area_m2) {
    return exposed_area_m2 * (1 + treatment.waste_share);
}

double cost_of(const Treatment& treatment, double exposed_area_m2) {
    return treatment.fixed_cost +
           treatment.cost_per_m2 * ordered_area_m2(treatment, exposed_area_m2);
}

double coat_cost(const Treatment& treatment, double exposed_area_m2) {
    return treatment.recoat_years > 0 ? treatment.recoat_per_m2 * exposed_area_m2 : 0;
}

double upkeep_per_year(const Treatment& treatment, double exposed_area_m2) {
    const double coats_a_year = treatment.recoat_years > 0 ? 1 / treatment.recoat_years : 0;
    return exposed_area_m2 *
           (treatment.upkeep_per_m2_year + treatment.recoat_per_m2 * coats_a_year);
}

Construction treated(const Construction& base, const Treatment& treatment) {
    Construction out = treatment.film ? with_film(base, *treatment.film) : base;
    out.name = base.name + " + " + treatment.name;
    if (treatment.film) return out;
    out.outside_absorptance = 1 - treatment.aged_reflectance;
    out.outside_emittance = treatment.emittance;
    const bool covers = treatment.kind != TreatmentKind::coating;
    out.roughness = treatment.roughness.value_or(covers ? Roughness::very_smooth : base.roughness);
    out.layers.insert(out.layers.begin(), treatment.added.begin(), treatment.added.end());
    set_layer_resistances(out.layers, out.gap_flow);
    if (treatment.cladding) out.cladding = treatment.cladding;
    return out;
}

}  // namespace noonshell
