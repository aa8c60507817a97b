#include "solar/clear_sky.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace noonshell {

namespace {
constexpr double deg = std::numbers::pi / 180.0;
}

double relative_air_mass(double elevation_deg) {
    const double elevation = std::max(elevation_deg, 0.0);
    return 1.0 / (std::sin(elevation * deg) + 0.50572 * std::pow(elevation + 6.07995, -1.6364));
}

double extraterrestrial_normal_w_m2(double day_of_year) {
    return 1367.0 * (1.0 + 0.033 * std::cos(360.0 * (day_of_year - 3.0) / 365.0 * deg));
}

ClearSky clear_sky(double elevation_deg, double extraterrestrial_w_m2, double tau_b, double tau_d) {
    if (!(elevation_deg > 0.0)) return {};
    const double m = relative_air_mass(elevation_deg);
    const double ab = 1.454 - 0.406 * tau_b - 0.268 * tau_d + 0.021 * tau_b * tau_d;
    const double ad = 0.507 + 0.205 * tau_b - 0.080 * tau_d - 0.190 * tau_b * tau_d;
    return {extraterrestrial_w_m2 * std::exp(-tau_b * std::pow(m, ab)),
            extraterrestrial_w_m2 * std::exp(-tau_d * std::pow(m, ad))};
}

}  // namespace noonshell
