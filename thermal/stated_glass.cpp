#include "thermal/stated_glass.hpp"

#include <algorithm>
#include <array>
#include <sstream>

#include "geometry/diagnostics.hpp"
#include "thermal/window_film.hpp"

namespace noonshell {

namespace {

constexpr double sheet_m = 0.004;
constexpr double emittance_of_uncoated_glass = 0.837;  // [en673]
// Two digits are what suppliers state: half of the last one is no fault.
constexpr double rounding_of_stated_u_w_m2k = 0.05, rounding_of_stated_g = 0.005;

std::string digits(double value) {
    std::ostringstream text;
    text.precision(3);
    text << value;
    return text.str();
}

Construction bare_sheets(const std::string& name, int sheets) {
    Construction glass;
    glass.name = name;
    Layer sheet;
    sheet.material = *find_material("glass");
    sheet.thickness_m = sheet_m;
    glass.layers.assign(static_cast<std::size_t>(sheets), sheet);
    glass.glass_sheets = sheets;
    glass.outside_emittance = glass.inside_emittance = emittance_of_uncoated_glass;
    return glass;
}

/// Puts equal resistances between the sheets, or one behind a single sheet.
void add_resistance(Construction& glass, double m2k_w) {
    const std::size_t spaces = std::max<std::size_t>(1, glass.layers.size() - 1);
    Layer space;
    space.material.name = "space";
    space.resistance_m2k_w = m2k_w / static_cast<double>(spaces);
    for (std::size_t i = 0; i < spaces; ++i)
        glass.layers.insert(glass.layers.begin() + static_cast<std::ptrdiff_t>(2 * i + 1), space);
}

}  // namespace

Construction glass_as_stated(const std::string& name, const StatedGlass& stated,
                             const std::string& where) {
    NOONSHELL_CHECK_GT(stated.sheets, 0);
    Construction glass = bare_sheets(name, stated.sheets);
    const double of_sheets_w_m2k = pane_u_value_w_m2k(glass);
    if (!(stated.u_value_w_m2k > 0 &&
          stated.u_value_w_m2k <= of_sheets_w_m2k + rounding_of_stated_u_w_m2k))
        throw InputError(
            {.entity = where + ": pane_u_value_w_m2k"},
            "above 0 and at most " + digits(of_sheets_w_m2k) + " for " +
                (stated.sheets == 1 ? "single glass"
                                    : std::to_string(stated.sheets) + " sheets of glass"),
            digits(stated.u_value_w_m2k));
    const double wanting_m2k_w = 1 / stated.u_value_w_m2k - 1 / of_sheets_w_m2k;
    if (wanting_m2k_w > 0) add_resistance(glass, wanting_m2k_w);

    glass.outside_absorptance = 0;
    glass.solar_transmittance = 1 - stated.solar_reflectance;
    const WindowFilm as_stated{.g_value = stated.g_value,
                               .solar_reflectance = stated.solar_reflectance,
                               .u_value_w_m2k = {}};
    const ValueRange range = g_values_within_reach(glass, as_stated);
    if (!(stated.g_value >= range.low - rounding_of_stated_g &&
          stated.g_value <= range.high + rounding_of_stated_g))
        throw InputError({.entity = where + ": pane_g_value"},
                         digits(range.low) + " to " + digits(range.high) +
                             " with a solar reflectance of " + digits(stated.solar_reflectance),
                         digits(stated.g_value));
    return with_film(glass, as_stated);
}

int usual_sheets(double u_value_w_m2k) {
    constexpr double single_from = 4, triple_below = 0.9;
    if (u_value_w_m2k > single_from) return 1;
    return u_value_w_m2k < triple_below ? 3 : 2;
}

double usual_reflectance(int sheets) {
    constexpr std::array by_sheets = {0.07, 0.11, 0.13, 0.14};
    return by_sheets.at(static_cast<std::size_t>(sheets) - 1);
}

}  // namespace noonshell
