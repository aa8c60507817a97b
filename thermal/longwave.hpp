// Longwave exchange with the sky and between plates.
#pragma once

#include <cmath>

namespace noonshell {

inline constexpr double stefan_boltzmann_w_m2k4 = 5.670374419e-8;  ///< exact in the SI since 2019
inline constexpr double kelvin_at_0_c = 273.15;

/// Longwave that a black face at this temperature sends out.
inline double black_w_m2(double celsius) {
    const double kelvin = celsius + kelvin_at_0_c;
    return stefan_boltzmann_w_m2k4 * kelvin * kelvin * kelvin * kelvin;
}

/// Temperature of a black face that sends out as much [C].
inline double black_c(double w_m2) {
    return std::sqrt(std::sqrt(w_m2 / stefan_boltzmann_w_m2k4)) - kelvin_at_0_c;
}

/// Clear-sky emissivity by dew point, [berdahl1984]; hour_from_midnight in solar or local time;
/// pressure term included.
double clear_sky_emissivity(double dew_point_c, double hour_from_midnight, double pressure_pa);

/// Emissivity of a sky of which `cloud_cover` (0..1) is clouded, [clark1978]; at most 1.
double cloudy_sky_emissivity(double clear_emissivity, double cloud_cover);

/// Downwelling longwave [W/m2] of a sky.
double sky_longwave_w_m2(double dry_bulb_c, double sky_emissivity);

/// Temperature of a black sky that sends `longwave_w_m2` down [C].
double sky_temperature_c(double longwave_w_m2);

/// Effective emittance of two large parallel grey plates.
double plates_effective_emittance(double emittance_a, double emittance_b);

}  // namespace noonshell
