#include "geometry/colour_scale.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace noonshell {

namespace {

constexpr double darkest = 25.0, lightest = 88.0;  // L*
constexpr double chroma = 60.0;                    // the screen's colours hold this all along
constexpr double first_hue_deg = 300.0, turn_deg = 165.0;  // violet, red, yellow

/// CIE 15: from L*, a*, b* to tristimulus values over those of the white.
double over_white(double t) {
    constexpr double knee = 6.0 / 29.0;
    return t > knee ? t * t * t : 3 * knee * knee * (t - 4.0 / 29.0);
}

/// IEC 61966-2-1: what a screen is given for a linear amount of light.
float screen_value(double linear) {
    return static_cast<float>(linear <= 0.0031308 ? 12.92 * linear
                                                  : 1.055 * std::pow(linear, 1 / 2.4) - 0.055);
}

}  // namespace

Rgb scale_colour(double value) {
    const double t = std::isnan(value) ? 0.0 : std::clamp(value, 0.0, 1.0);
    const double lightness = darkest + (lightest - darkest) * t;
    const double hue = (first_hue_deg + turn_deg * t) * std::numbers::pi / 180.0;
    const double y = (lightness + 16) / 116;
    const Eigen::Vector3d white(0.95047, 1.0, 1.08883);  // D65
    const Eigen::Vector3d xyz = white.cwiseProduct(
        Eigen::Vector3d(over_white(y + chroma * std::cos(hue) / 500), over_white(y),
                        over_white(y - chroma * std::sin(hue) / 200)));
    // IEC 61966-2-1, the inverse of its matrix from linear RGB to XYZ.
    Eigen::Matrix3d to_rgb;
    to_rgb << 3.2404542, -1.5371385, -0.4985314,  //
        -0.9692660, 1.8760108, 0.0415560,         //
        0.0556434, -0.2040259, 1.0572252;
    const Eigen::Vector3d rgb = (to_rgb * xyz).cwiseMax(0.0).cwiseMin(1.0);
    return {screen_value(rgb.x()), screen_value(rgb.y()), screen_value(rgb.z())};
}

}  // namespace noonshell
