// A pane as its supplier states it: by U-value and g-value in place of layers.
#pragma once

#include <string>

#include "thermal/construction.hpp"

namespace noonshell {

struct StatedGlass {
    double u_value_w_m2k = 1.1;  ///< of the glazing, [en673]
    double g_value = 0.5;        ///< total solar energy transmittance at normal incidence, [en410]
    double solar_reflectance = 0.1;  ///< outside
    int sheets = 2;
};

/// Uncoated sheets of 4 mm with resistances between them (of single glass: behind it) that make
/// the U-value as pane_u_value_w_m2k() has it; the sun is divided into what is let through and what
/// is taken in as with_film() divides it. Throws InputError naming `where`, the field, its value
/// and the range, for a U-value above that of the sheets alone and for a g-value that the
/// reflectance leaves no room for; a value out of range by the rounding of two digits is taken at
/// the end of the range.
Construction glass_as_stated(const std::string& name, const StatedGlass& stated,
                             const std::string& where);

/// Sheets that glass of this U-value usually has: 1 above 4, 3 below 0.9 W/(m2 K), else 2 (common
/// practice).
int usual_sheets(double u_value_w_m2k);

/// Outside solar reflectance of that many clear sheets, 1 to 4 (clear glass, [ashrae2021] ch. 15,
/// from memory): 0.07, 0.11, 0.13, 0.14.
double usual_reflectance(int sheets);

}  // namespace noonshell
