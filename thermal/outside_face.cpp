#include "thermal/outside_face.hpp"

#include <cmath>

#include "thermal/cube_root.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

namespace {

double natural_w_m2k(const OutsideFace& face, const FaceConditions& around, double at_c) {
    const double excess_k = at_c - around.air_c;
    const double coefficient = excess_k > 0 ? face.natural_hot : face.natural_cool;
    return coefficient * cube_root(std::abs(excess_k));
}

}  // namespace

OutsideFace outside_face(double tilt_deg, double emittance, double relief_ratio) {
    return {.emittance = emittance,
            .natural_hot = natural_coefficient(tilt_deg, true),
            .natural_cool = natural_coefficient(tilt_deg, false),
            .relief_ratio = relief_ratio};
}

FaceLine linearise(const OutsideFace& face, OutsideConvection model, const FaceConditions& around,
                   double at_c) {
    const double kelvin = at_c + kelvin_at_0_c;
    const double cube = stefan_boltzmann_w_m2k4 * kelvin * kelvin * kelvin;
    const double natural = natural_w_m2k(face, around, at_c);
    const double convective =
        face.relief_ratio * joined_convection_w_m2k(model, natural, around.forced_w_m2k);
    const double slope =
        4 * face.emittance * cube +
        face.relief_ratio * convection_slope_w_m2k(model, natural, around.forced_w_m2k);
    const double net = around.absorbed_w_m2 +
                       face.emittance * (around.longwave_in_w_m2 - cube * kelvin) +
                       convective * (around.air_c - at_c);
    return {.h_w_m2k = slope, .q_w_m2 = net + slope * at_c};
}

double net_heat_w_m2(const OutsideFace& face, OutsideConvection model, const FaceConditions& around,
                     double at_c) {
    const double kelvin = at_c + kelvin_at_0_c;
    const double emitted = stefan_boltzmann_w_m2k4 * kelvin * kelvin * kelvin * kelvin;
    return around.absorbed_w_m2 + face.emittance * (around.longwave_in_w_m2 - emitted) +
           face.relief_ratio *
               joined_convection_w_m2k(model, natural_w_m2k(face, around, at_c),
                                       around.forced_w_m2k) *
               (around.air_c - at_c);
}

}  // namespace noonshell
