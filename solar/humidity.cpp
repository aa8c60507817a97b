#include "solar/humidity.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {
constexpr double at_0_c_pa = 610.94, slope = 17.625, pole_c = 243.04;  // [alduchov1996] eq. (21)
}

double saturation_pressure_pa(double dry_bulb_c) {
    return at_0_c_pa * std::exp(slope * dry_bulb_c / (pole_c + dry_bulb_c));
}

double dew_point_c(double dry_bulb_c, double relative_humidity_percent) {
    constexpr double driest = 0.1, wettest = 100;
    const double share = std::clamp(relative_humidity_percent, driest, wettest) / wettest;
    const double exponent = std::log(share) + slope * dry_bulb_c / (pole_c + dry_bulb_c);
    return pole_c * exponent / (slope - exponent);
}

}  // namespace noonshell
