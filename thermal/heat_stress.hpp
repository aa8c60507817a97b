// Heat stress in a room without cooling, as an indication: the wet-bulb globe temperature. It
// stands for no medical advice; limits of exposure are a matter of local authorities.
#pragma once

#include <cstddef>
#include <span>

#include "thermal/response.hpp"

namespace noonshell {

/// Thermodynamic wet-bulb temperature [C] of air at `air_c` with `humidity_kg_kg` of vapour per dry
/// air: [ashrae2021] ch. 1, the relation between humidity ratio and wet bulb over liquid water.
/// At most the air's own temperature.
double wet_bulb_c(double air_c, double humidity_kg_kg, double pressure_pa);

/// Wet-bulb globe temperature indoors [C], 0.7 of the natural wet bulb and 0.3 of the globe
/// ([iso7243], from memory). The natural wet bulb in still air (0.1 m/s) is the air less 0.89 of
/// the psychrometric depression ([bernard1999], from memory); the globe is taken to be
/// at the operative temperature, which holds within some tenths in a room's slow air.
double wet_bulb_globe_c(double air_c, double operative_c, double humidity_kg_kg,
                        double pressure_pa);

struct HeatStress {
    /// Light work of people used to heat, metabolic class 1 of [iso7243], from memory.
    static constexpr double limit_c = 30;
    double peak_c = 0;
    std::size_t peak_hour = 0;
    double hours_above_h = 0;  ///< limit_c
};

/// Of one unit over a run with hourly values; `pressure_pa` #hours.
HeatStress heat_stress(const Response& run, std::size_t unit, std::span<const double> pressure_pa);

}  // namespace noonshell
