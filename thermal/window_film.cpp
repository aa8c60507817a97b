#include "thermal/window_film.hpp"

#include <algorithm>
#include <sstream>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

// Boundary values, from memory.
constexpr double emittance_of_glass = 0.837, inside_convection = 3.6;
constexpr double u_outside_w_m2k = 25, u_radiation_w_m2k = 4.1;
constexpr double g_outside_w_m2k = 23, g_radiation_w_m2k = 4.4;

// The lowest of coatings on film and glass, common practice.
constexpr double least_inside_emittance = 0.03;

// Two digits are what suppliers state: half of the last one is no fault.
constexpr double rounding_of_g = 0.005, rounding_of_u_w_m2k = 0.05;

double u_value_with(double emittance, double glass_m2k_w) {
    const double inside = inside_convection + u_radiation_w_m2k * emittance / emittance_of_glass;
    return 1 / (1 / u_outside_w_m2k + glass_m2k_w + 1 / inside);
}

/// The inside emittance that makes this U-value; of one out of reach, above or below all that are.
double emittance_for(double u_value_w_m2k, double glass_m2k_w) {
    const double inside_m2k_w = 1 / u_value_w_m2k - 1 / u_outside_w_m2k - glass_m2k_w;
    if (inside_m2k_w <= 0) return 1;
    return emittance_of_glass * (1 / inside_m2k_w - inside_convection) / u_radiation_w_m2k;
}

double share_inwards(const Construction& glass) {
    const double inside =
        inside_convection + g_radiation_w_m2k * glass.inside_emittance / emittance_of_glass;
    const double outside_m2k_w = 1 / g_outside_w_m2k;
    return outside_m2k_w / (outside_m2k_w + layers_resistance_m2k_w(glass) + 1 / inside);
}

Construction with_u_value(const Construction& glass, const WindowFilm& film) {
    Construction out = glass;
    if (!film.u_value_w_m2k) return out;
    const double least = std::min(least_inside_emittance, glass.inside_emittance);
    out.inside_emittance =
        std::clamp(emittance_for(*film.u_value_w_m2k, layers_resistance_m2k_w(glass)), least,
                   glass.inside_emittance);
    return out;
}

double reflectance_of(const Construction& glass, const WindowFilm& film) {
    return film.solar_reflectance.value_or(solar_reflectance(glass));
}

std::string in_digits(double value) {
    std::ostringstream text;
    text.precision(3);
    text << value;
    return text.str();
}

void require_within(double value, const ValueRange& range, double rounding,
                    const std::string& entity, const std::string& of) {
    if (value >= range.low - rounding && value <= range.high + rounding) return;
    throw InputError({.entity = entity},
                     in_digits(range.low) + " to " + in_digits(range.high) + " on " + of,
                     in_digits(value));
}

}  // namespace

double pane_u_value_w_m2k(const Construction& glass) {
    return u_value_with(glass.inside_emittance, layers_resistance_m2k_w(glass));
}

double pane_g_value(const Construction& glass) {
    return glass.solar_transmittance + share_inwards(glass) * glass.outside_absorptance;
}

ValueRange u_values_within_reach(const Construction& glass) {
    const double resistance = layers_resistance_m2k_w(glass);
    const double least = std::min(least_inside_emittance, glass.inside_emittance);
    return {u_value_with(least, resistance), u_value_with(glass.inside_emittance, resistance)};
}

ValueRange g_values_within_reach(const Construction& glass, const WindowFilm& film) {
    const double not_reflected = 1 - reflectance_of(glass, film);
    return {share_inwards(with_u_value(glass, film)) * not_reflected, not_reflected};
}

Construction with_film(const Construction& glass, const WindowFilm& film) {
    Construction out = with_u_value(glass, film);
    const double not_reflected = 1 - reflectance_of(glass, film);
    const double inwards = share_inwards(out);
    // g = tau + N (1 - rho - tau)
    out.solar_transmittance =
        std::clamp((film.g_value - inwards * not_reflected) / (1 - inwards), 0.0, not_reflected);
    out.outside_absorptance = not_reflected - out.solar_transmittance;
    return out;
}

void require_suits(const WindowFilm& film, const Construction& glass, const std::string& where) {
    if (glass.solar_transmittance <= 0)
        throw InputError({.entity = where}, "panes whose construction lets sun in",
                         "\"" + glass.name + "\", which does not (not_on keeps them out)");
    if (film.u_value_w_m2k)
        require_within(*film.u_value_w_m2k, u_values_within_reach(glass), rounding_of_u_w_m2k,
                       where + ": pane_u_value_w_m2k", "\"" + glass.name + "\"");
    require_within(film.g_value, g_values_within_reach(glass, film), rounding_of_g,
                   where + ": pane_g_value",
                   "\"" + glass.name + "\" with a solar reflectance of " +
                       in_digits(reflectance_of(glass, film)));
}

}  // namespace noonshell
