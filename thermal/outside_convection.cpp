#include "thermal/outside_convection.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace noonshell {

namespace {

constexpr double radians_per_degree = std::numbers::pi / 180.0;

// C of h = C |dT|^(1/3) in air of 21 C, from [ashrae2021] ch. 4 table 9:
constexpr double vertical = 1.26;  // "h = 1.26 dT^(1/3), Ra > 1e9", printed in the table
// Hot side up, Nu = 0.15 Ra^(1/3), 8e6 < Ra < 1.5e9: 0.15 k (g beta / (nu alpha))^(1/3) with
// k 0.0258 W/(m K), nu 1.52e-5 m2/s, alpha 2.15e-5 m2/s, beta 1/294 1/K.
constexpr double restless = 1.81;
// Hot side down, Nu = 0.27 Ra^(1/4), taken over as a cube root at a difference of 10 K on a plate
// of 6 m x 2.4 m (area over perimeter 0.87 m): right at 10 K, 12 % low at 2.5 K, 12 % high at 40 K.
constexpr double stable = 0.60;

constexpr double level_within_deg = 10.0;

}  // namespace

// Between the three tabulated positions runs the one parabola in the cosine of the tilt; the shape
// between them is ours. Air hotter than 21 C has a smaller coefficient (6 % less at 50 C); this is
// left out. A face cooler than the air moves air as a hot face turned upside down does.
double natural_coefficient(double tilt_deg, bool hot) {
    const double up = std::cos(tilt_deg * radians_per_degree) * (hot ? 1.0 : -1.0);
    constexpr double slope = (restless - stable) / 2;
    constexpr double bend = (restless + stable) / 2 - vertical;
    return vertical + slope * up + bend * up * up;
}

// [yazdanian1994]: a V^b, windward 3.26 and 0.89, leeward 3.55 and 0.617 (measured on windows of
// low buildings; V at 10 m). [iso6946] annex C: 4 + 4 v, values from memory. [mcadams1954]: flat
// plate in a duct, radiation partly included; the two branches differ by 2 W/(m2 K) where they
// meet.
double forced_convection_w_m2k(OutsideConvection model, double wind_speed_m_s, WindSide side) {
    const double v = std::max(0.0, wind_speed_m_s);
    switch (model) {
        case OutsideConvection::iso_6946:
            return 4.0 + 4.0 * v;
        case OutsideConvection::mcadams:
            return v < 5.0 ? 5.7 + 3.8 * v : 6.47 * std::pow(v, 0.78);
        case OutsideConvection::combined:
            break;
    }
    const double windward = 3.26 * std::pow(v, 0.89);
    const double leeward = 3.55 * std::pow(v, 0.617);
    switch (side) {
        case WindSide::windward:
            return windward;
        case WindSide::leeward:
            return leeward;
        case WindSide::unknown:
            break;
    }
    return (windward + leeward) / 2;
}

WindSide wind_side(double tilt_deg, double azimuth_deg, double wind_from_deg) {
    const bool level = tilt_deg <= level_within_deg || tilt_deg >= 180.0 - level_within_deg;
    if (level || !std::isfinite(wind_from_deg) || !std::isfinite(azimuth_deg))
        return WindSide::unknown;
    // The source measured one window turned to the wind and away from it and tells nothing of a
    // wall along the wind (from memory): the edge at 90 degrees is ours.
    const double apart_deg = std::abs(std::remainder(wind_from_deg - azimuth_deg, 360.0));
    return apart_deg <= 90.0 ? WindSide::windward : WindSide::leeward;
}

}  // namespace noonshell
