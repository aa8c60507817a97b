// The heat balance of one outside face: sun, longwave and convection, exact and as a straight line.
#pragma once

#include <cmath>

#include "thermal/cube_root.hpp"
#include "thermal/longwave.hpp"
#include "thermal/outside_convection.hpp"

namespace noonshell {

/// What a face is; made once.
struct OutsideFace {
    double emittance = 0.9;
    double natural_hot = 1.3;   ///< h = C |dT|^(1/3) when warmer than the air [W/(m2 K^(4/3))]
    double natural_cool = 1.3;  ///< the same when cooler
    double relief_ratio = 1;    ///< developed over projected area: convection takes place on all of
                                ///< it, light and longwave through the projected outline
};

OutsideFace outside_face(double tilt_deg, double emittance, double relief_ratio = 1);

/// What surrounds it during one step.
struct FaceConditions {
    double absorbed_w_m2 = 0;          ///< sun taken in
    double transmitted_w_m2 = 0;       ///< sun let through, by a pane
    double transmitted_beam_w_m2 = 0;  ///< the direct part of it
    double longwave_in_w_m2 = 0;       ///< incident from sky, ground and other bodies
    double air_c = 20;
    double forced_w_m2k = 0;
};

/// Net heat into the face is q - h T, with T in Celsius.
struct FaceLine {
    double h_w_m2k = 0;
    double q_w_m2 = 0;
};

/// Free convection at a temperature [W/(m2 K)].
inline double natural_w_m2k(const OutsideFace& face, const FaceConditions& around, double at_c) {
    const double excess_k = at_c - around.air_c;
    return (excess_k > 0 ? face.natural_hot : face.natural_cool) * cube_root(std::abs(excess_k));
}

/// The balance linearised at `at_c`: T to the fourth by its tangent, convection with the
/// coefficient of that temperature.
inline FaceLine linearise(const OutsideFace& face, OutsideConvection model,
                          const FaceConditions& around, double at_c) {
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

/// Net heat into the face at a temperature, nothing linearised [W/m2].
inline double net_heat_w_m2(const OutsideFace& face, OutsideConvection model,
                            const FaceConditions& around, double at_c) {
    const double kelvin = at_c + kelvin_at_0_c;
    const double emitted = stefan_boltzmann_w_m2k4 * kelvin * kelvin * kelvin * kelvin;
    return around.absorbed_w_m2 + face.emittance * (around.longwave_in_w_m2 - emitted) +
           face.relief_ratio *
               joined_convection_w_m2k(model, natural_w_m2k(face, around, at_c),
                                       around.forced_w_m2k) *
               (around.air_c - at_c);
}

}  // namespace noonshell
