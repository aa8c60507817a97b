#include "thermal/reflectance_index.hpp"

#include <cmath>
#include <string>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

// Standard conditions and constants of [astm_e1980].
constexpr double sun_w_m2 = 1000, air_k = 310, sky_k = 300;
constexpr double standard_sigma_w_m2k4 = 5.66961e-8;  // the standard's own, not today's value
constexpr double standard_emittance = 0.90, black_reflectance = 0.05, white_reflectance = 0.80;

double convection_w_m2k(StandardWind wind) {
    switch (wind) {
        case StandardWind::low:
            return 5;
        case StandardWind::medium:
            return 12;
        case StandardWind::high:
            break;
    }
    return 30;
}

double fourth(double x) {
    return x * x * x * x;
}

void require_fraction(double value, const char* name) {
    if (value >= 0 && value <= 1) return;
    throw InputError({"", {}, {}, name}, "a fraction from 0 to 1", std::to_string(value));
}

}  // namespace

// Root of alpha I = e sigma (Ts^4 - Tsky^4) + hc (Ts - Ta) by Newton's method. The balance is
// convex and rising, so from any temperature above the root the steps come down to it without
// overshoot.
double standard_roof_temperature_k(double reflectance, double emittance, StandardWind wind) {
    require_fraction(reflectance, "reflectance");
    require_fraction(emittance, "emittance");
    const double hc = convection_w_m2k(wind);
    double surface_k = air_k + sun_w_m2 / hc;
    for (int round = 0; round < 100; ++round) {
        const double surplus =
            emittance * standard_sigma_w_m2k4 * (fourth(surface_k) - fourth(sky_k)) +
            hc * (surface_k - air_k) - (1 - reflectance) * sun_w_m2;
        const double slope =
            4 * emittance * standard_sigma_w_m2k4 * surface_k * surface_k * surface_k + hc;
        const double step_k = surplus / slope;
        surface_k -= step_k;
        if (std::abs(step_k) < 1e-10) return surface_k;
    }
    throw ConvergenceError("standard roof temperature did not settle");
}

double solar_reflectance_index(double reflectance, double emittance, StandardWind wind) {
    const double black_k = standard_roof_temperature_k(black_reflectance, standard_emittance, wind);
    const double white_k = standard_roof_temperature_k(white_reflectance, standard_emittance, wind);
    return 100 * (black_k - standard_roof_temperature_k(reflectance, emittance, wind)) /
           (black_k - white_k);
}

}  // namespace noonshell
