#include "solar/sky.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "geometry/angles.hpp"

namespace noonshell {

namespace {

/// One row of [perez1990] table 6 with the bin's lower edge; here in the long form in common use,
/// which rounds to the three decimals printed.
struct Brightness {
    double clearness_from;
    double f11, f12, f13, f21, f22, f23;
};

constexpr std::array<Brightness, 8> all_sites = {{
    {1.000, -0.0083117, 0.5877285, -0.0620636, -0.0596012, 0.0721249, -0.0220216},
    {1.065, 0.1299457, 0.6825954, -0.1513752, -0.0189325, 0.0659650, -0.0288748},
    {1.230, 0.3296958, 0.4868735, -0.2210958, 0.0554140, -0.0639588, -0.0260542},
    {1.500, 0.5682053, 0.1874525, -0.2951290, 0.1088631, -0.1519229, -0.0139754},
    {1.950, 0.8730280, -0.3920403, -0.3616149, 0.2255647, -0.4620442, 0.0012448},
    {2.800, 1.1326077, -1.2367284, -0.4118494, 0.2877813, -0.8230357, 0.0558651},
    {4.500, 1.0601591, -1.5999137, -0.3589221, 0.2642124, -1.1272340, 0.1310694},
    {6.200, 0.6777470, -0.3272588, -0.2504286, 0.1561313, -1.3765031, 0.2506212},
}};

/// [perez1990] eq. (1); infinite where the diffuse light vanishes beside the beam.
double sky_clearness(double direct_normal, double diffuse, double zenith_rad) {
    const double kappa = 1.041 * zenith_rad * zenith_rad * zenith_rad;
    return ((diffuse + direct_normal) / diffuse + kappa) / (1.0 + kappa);
}

const Brightness& bin_of(double clearness) {
    const auto above = std::upper_bound(
        all_sites.begin(), all_sites.end(), clearness,
        [](double value, const Brightness& row) { return value < row.clearness_from; });
    return above == all_sites.begin() ? all_sites.front() : *std::prev(above);
}

}  // namespace

SkyLight perez_sky(double direct_normal_w_m2, double diffuse_w_m2, double zenith_deg,
                   double extraterrestrial_w_m2, double air_mass) {
    if (!(diffuse_w_m2 > 0.0)) return {};
    if (!(zenith_deg < 90.0)) return {diffuse_w_m2, 0.0, 0.0};
    const double zenith = zenith_deg * degree;
    const double direct = std::max(direct_normal_w_m2, 0.0);
    const Brightness& row = bin_of(sky_clearness(direct, diffuse_w_m2, zenith));
    const double delta = diffuse_w_m2 * air_mass / extraterrestrial_w_m2;
    const double f1 = std::clamp(row.f11 + row.f12 * delta + row.f13 * zenith, 0.0, 1.0);
    const double f2 = row.f21 + row.f22 * delta + row.f23 * zenith;
    const double b = std::max(std::cos(85.0 * degree), std::cos(zenith));
    return {diffuse_w_m2 * (1.0 - f1), diffuse_w_m2 * f1 / b, diffuse_w_m2 * f2};
}

double erbs_diffuse_fraction(double clearness_index) {
    const double kt = std::max(clearness_index, 0.0);
    if (kt <= 0.22) return 1.0 - 0.09 * kt;
    if (kt > 0.80) return 0.165;
    return 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)));
}

}  // namespace noonshell
