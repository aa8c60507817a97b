// Closed forms of diffuse view factors between rectangles, as heat transfer textbooks print them
// (after Howell's catalogue of configuration factors).
#pragma once

#include <cmath>
#include <numbers>

namespace noonshell::view_factors {

/// Two equal rectangles a by b, directly opposed at distance c.
inline double opposed(double a, double b, double c) {
    const double x = a / c, y = b / c;
    const double rx = std::sqrt(1 + x * x), ry = std::sqrt(1 + y * y);
    return 2 / (std::numbers::pi * x * y) *
           (std::log(rx * ry / std::sqrt(1 + x * x + y * y)) + x * ry * std::atan(x / ry) +
            y * rx * std::atan(y / rx) - x * std::atan(x) - y * std::atan(y));
}

/// From a rectangle of depth `depth` to a perpendicular one of height `height` along their common
/// edge of length `edge`.
inline double perpendicular(double edge, double depth, double height) {
    const double w = depth / edge, h = height / edge;
    const double w2 = w * w, h2 = h * h, hw = std::sqrt(h2 + w2);
    const double product = (1 + w2) * (1 + h2) / (1 + w2 + h2) *
                           std::pow(w2 * (1 + w2 + h2) / ((1 + w2) * (w2 + h2)), w2) *
                           std::pow(h2 * (1 + h2 + w2) / ((1 + h2) * (h2 + w2)), h2);
    return (w * std::atan(1 / w) + h * std::atan(1 / h) - hw * std::atan(1 / hw) +
            0.25 * std::log(product)) /
           (std::numbers::pi * w);
}

}  // namespace noonshell::view_factors
