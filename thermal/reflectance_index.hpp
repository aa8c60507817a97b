// Surface temperature of an insulated roof in standard sun and its solar reflectance index.
#pragma once

namespace noonshell {

enum class StandardWind { low, medium, high };  ///< 5, 12, 30 W/(m2 K) in [astm_e1980]

/// Steady temperature [K] at 1000 W/m2, air 310 K, sky 300 K.
double standard_roof_temperature_k(double reflectance, double emittance, StandardWind wind);

/// 0 for the standard black, 100 for the standard white.
double solar_reflectance_index(double reflectance, double emittance, StandardWind wind);

}  // namespace noonshell
