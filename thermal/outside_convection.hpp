// Convection between an outside face and the air: natural and forced parts by named correlations.
#pragma once

#include <algorithm>
#include <cmath>

namespace noonshell {

enum class OutsideConvection {
    combined,  ///< default: sqrt(natural^2 + forced^2), forced after [yazdanian1994], natural by
               ///< tilt after [ashrae2021] ch. 4 table 9
    iso_6946,  ///< 4 + 4 v, [iso6946]
    mcadams    ///< 5.7 + 3.8 v below 5 m/s, 6.47 v^0.78 above, [mcadams1954]
};

enum class WindSide { windward, leeward, unknown };  ///< unknown: mean of both

/// Coefficient C of h = C |dT|^(1/3) [W/(m2 K^(4/3))] for a face of the given tilt that is warmer
/// (`hot`) or cooler than the air. Smooth in tilt between level up, vertical and level down.
double natural_coefficient(double tilt_deg, bool hot);

/// Forced part [W/(m2 K)] at a wind speed [m/s]. [yazdanian1994] measured it against the wind at
/// 10 m beside low buildings; [iso6946] and [mcadams1954] mean the wind by the face.
double forced_convection_w_m2k(OutsideConvection model, double wind_speed_m_s, WindSide side);

/// Natural and forced joined the way the model wants. The correlations of the other models hold
/// still air in their constant.
inline double joined_convection_w_m2k(OutsideConvection model, double natural_w_m2k,
                                      double forced_w_m2k) {
    if (model != OutsideConvection::combined) return forced_w_m2k;
    return std::sqrt(natural_w_m2k * natural_w_m2k + forced_w_m2k * forced_w_m2k);
}

/// Slope d(h dT)/d(dT) of the joined flux where the natural part goes as |dT|^(1/3) [W/(m2 K)]:
/// with h = sqrt(n^2 + f^2), n = C dT^(1/3), it is h + n^2 / (3 h). Equals h where the model has no
/// natural part. For Newton's method.
inline double convection_slope_w_m2k(OutsideConvection model, double natural_w_m2k,
                                     double forced_w_m2k) {
    const double h = joined_convection_w_m2k(model, natural_w_m2k, forced_w_m2k);
    if (model != OutsideConvection::combined) return h;
    constexpr double least_w_m2k = 1e-30;  // no division by nothing where n = f = 0
    return h + natural_w_m2k * natural_w_m2k / (3 * std::max(h, least_w_m2k));
}

/// A wall is windward when the wind blows from within 90 degrees of its azimuth; level faces and
/// unknown directions are `unknown`. A direction that is NaN is unknown.
WindSide wind_side(double tilt_deg, double azimuth_deg, double wind_from_deg);

}  // namespace noonshell
