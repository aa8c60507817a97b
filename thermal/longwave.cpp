#include "thermal/longwave.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace noonshell {

// [berdahl1984], monthly form with the terms for the hour and for the pressure (the last from
// memory):
//   e = 0.711 + 0.56 (Td/100) + 0.73 (Td/100)^2 + 0.013 cos(2 pi t / 24) + 0.00012 (p_mb - 1000).
// Fitted to six towns of the United States, dew points about -20 to 30 C. Below -38 C the parabola
// would rise again; the dew point is held there.
double clear_sky_emissivity(double dew_point_c, double hour_from_midnight, double pressure_pa) {
    constexpr double vertex = -0.56 / (2 * 0.73);
    const double dew = std::max(dew_point_c / 100.0, vertex);
    const double emissivity = 0.711 + 0.56 * dew + 0.73 * dew * dew +
                              0.013 * std::cos(2 * std::numbers::pi * hour_from_midnight / 24.0) +
                              0.00012 * (pressure_pa / 100.0 - 1000.0);
    return std::min(emissivity, 1.0);
}

// [clark1978] with N in tenths (from memory): e = e0 (1 + 0.0224 N - 0.0035 N^2 + 0.00028 N^3).
// Height and kind of the clouds are left out.
double cloudy_sky_emissivity(double clear_emissivity, double cloud_cover) {
    const double n = 10 * cloud_cover;
    return std::min(1.0, clear_emissivity * (1 + n * (0.0224 + n * (-0.0035 + n * 0.00028))));
}

double sky_longwave_w_m2(double dry_bulb_c, double sky_emissivity) {
    const double kelvin = dry_bulb_c + kelvin_at_0_c;
    return sky_emissivity * stefan_boltzmann_w_m2k4 * kelvin * kelvin * kelvin * kelvin;
}

double sky_temperature_c(double longwave_w_m2) {
    return black_c(longwave_w_m2);
}

double plates_effective_emittance(double emittance_a, double emittance_b) {
    if (emittance_a <= 0 || emittance_b <= 0) return 0;
    return 1.0 / (1.0 / emittance_a + 1.0 / emittance_b - 1.0);
}

}  // namespace noonshell
