#include "solar/clear_sky.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/angles.hpp"
#include "solar/standard_air.hpp"

namespace noonshell {

namespace {}

double relative_air_mass(double elevation_deg) {
    const double elevation = std::max(elevation_deg, 0.0);
    return 1.0 / (std::sin(elevation * degree) + 0.50572 * std::pow(elevation + 6.07995, -1.6364));
}

double extraterrestrial_normal_w_m2(double day_of_year) {
    return 1367.0 * (1.0 + 0.033 * std::cos(360.0 * (day_of_year - 3.0) / 365.0 * degree));
}

ClearSky clear_sky(double elevation_deg, double extraterrestrial_w_m2, double tau_b, double tau_d) {
    if (!(elevation_deg > 0.0)) return {};
    const double m = relative_air_mass(elevation_deg);
    const double ab = 1.454 - 0.406 * tau_b - 0.268 * tau_d + 0.021 * tau_b * tau_d;
    const double ad = 0.507 + 0.205 * tau_b - 0.080 * tau_d - 0.190 * tau_b * tau_d;
    return {extraterrestrial_w_m2 * std::exp(-tau_b * std::pow(m, ab)),
            extraterrestrial_w_m2 * std::exp(-tau_d * std::pow(m, ad))};
}

ClearSky turbidity_clear_sky(double elevation_deg, double extraterrestrial_w_m2,
                             double linke_turbidity, double altitude_m) {
    if (!(elevation_deg > 0.0)) return {};
    const double fh1 = std::exp(-altitude_m / 8000.0);
    const double fh2 = std::exp(-altitude_m / 1250.0);
    const double cg1 = 5.09e-5 * altitude_m + 0.868;
    const double cg2 = 3.92e-5 * altitude_m + 0.0387;
    const double b = 0.664 + 0.163 / fh1;
    // Absolute air mass.
    const double am = relative_air_mass(elevation_deg) * standard_pressure_ratio(altitude_m);
    const double sine = std::sin(elevation_deg * degree);
    const double haze = linke_turbidity - 1.0;
    const double global =
        cg1 * extraterrestrial_w_m2 * sine * std::exp(-cg2 * am * (fh1 + fh2 * haze));
    const double beam = b * extraterrestrial_w_m2 * std::exp(-0.09 * am * haze);
    const double least_diffuse_share =
        (0.1 - 0.2 * std::exp(-linke_turbidity)) / (0.1 + 0.882 / fh1);
    const double most_beam = global * std::clamp(1.0 - least_diffuse_share, 0.0, 1.0) / sine;
    const double direct_normal = std::min(beam, most_beam);
    return {direct_normal, global - direct_normal * sine};
}

}  // namespace noonshell
