#include "thermal/periodic_transfer.hpp"

#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using Complex = std::complex<double>;

// (T, q) on the far side of a part = matrix times (T, q) on its near side.
struct Matrix {
    Complex z11 = 1, z12 = 0, z21 = 0, z22 = 1;
};

Matrix after(const Matrix& far, const Matrix& near) {
    return {far.z11 * near.z11 + far.z12 * near.z21, far.z11 * near.z12 + far.z12 * near.z22,
            far.z21 * near.z11 + far.z22 * near.z21, far.z21 * near.z12 + far.z22 * near.z22};
}

Matrix of_resistance(double m2k_w) {
    return {1, -m2k_w, 0, 1};
}

Matrix of_slab(const Layer& layer, double omega_1_s) {
    const Material& m = layer.material;
    const Complex decay = std::sqrt(
        Complex(0, omega_1_s * m.density_kg_m3 * m.specific_heat_j_kgk / m.conductivity_w_mk));
    const Complex depth = decay * layer.thickness_m;
    const Complex admittance = m.conductivity_w_mk * decay;
    return {std::cosh(depth), -std::sinh(depth) / admittance, -admittance * std::sinh(depth),
            std::cosh(depth)};
}

}  // namespace

// [iso13786]: transfer matrices of the layers, Y12 = -1/Z12, f = |Y12|/U, shift T/(2 pi) arg(Y12)
// with the argument between -2 pi and 0, areal capacities T/(2 pi) |(Z11 - 1)/Z12| and with Z22.
PeriodicTransfer periodic_transfer(std::span<const Layer> layers, double inside_film_m2k_w,
                                   double outside_film_m2k_w, double period_s) {
    NOONSHELL_CHECK_GT(period_s, 0.0);
    const double omega_1_s = 2 * std::numbers::pi / period_s;
    Matrix z = of_resistance(inside_film_m2k_w);
    double resistance_m2k_w = inside_film_m2k_w + outside_film_m2k_w;
    for (const Layer& layer : layers) {
        validate(layer, "periodic transfer");
        resistance_m2k_w += layer.resistance();
        z = after(layer.resistance_m2k_w ? of_resistance(*layer.resistance_m2k_w)
                                         : of_slab(layer, omega_1_s),
                  z);
    }
    z = after(of_resistance(outside_film_m2k_w), z);
    if (resistance_m2k_w <= 0)
        throw InputError({"", {}, {}, "periodic transfer"}, "at least one layer or film", "none");

    PeriodicTransfer transfer;
    transfer.u_w_m2k = 1 / resistance_m2k_w;
    transfer.y12 = -1.0 / z.z12;
    transfer.periodic_w_m2k = std::abs(transfer.y12);
    transfer.decrement = transfer.periodic_w_m2k / transfer.u_w_m2k;
    double phase = std::arg(transfer.y12);
    if (phase > 1e-9)
        phase -= 2 * std::numbers::pi;  // rounding about 0 is no lag of a whole period
    transfer.shift_h = phase / omega_1_s / 3600;
    transfer.inside_capacity_j_m2k = std::abs((z.z11 - 1.0) / z.z12) / omega_1_s;
    transfer.outside_capacity_j_m2k = std::abs((z.z22 - 1.0) / z.z12) / omega_1_s;
    return transfer;
}

}  // namespace noonshell
