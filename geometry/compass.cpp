#include "geometry/compass.hpp"

#include <array>
#include <cmath>
#include <cstddef>

#include "geometry/angles.hpp"

namespace noonshell {

namespace {

constexpr double no_azimuth_sine = 1e-9;  // a direction this close to the vertical has no azimuth

}  // namespace

Vec3 direction_in_model_axes(double azimuth_deg, double elevation_deg, double north_deg) {
    const double from_y = (azimuth_deg - north_deg) * degree;
    const double elevation = elevation_deg * degree;
    return {std::cos(elevation) * std::sin(from_y), std::cos(elevation) * std::cos(from_y),
            std::sin(elevation)};
}

double compass_azimuth_deg(const Vec3& direction, double north_deg) {
    if (std::hypot(direction.x(), direction.y()) < no_azimuth_sine * direction.norm()) return 0;
    const double raw = north_deg + std::atan2(direction.x(), direction.y()) / degree;
    const double snapped = std::round(raw * 1e6) / 1e6;
    const double wrapped = snapped - 360.0 * std::floor(snapped / 360.0);
    const double azimuth = std::round(wrapped * 1e6) / 1e6;
    return azimuth >= 360.0 ? 0.0 : azimuth;
}

std::string_view compass_point(double azimuth_deg) {
    static constexpr std::array<std::string_view, 8> points{"n", "ne", "e", "se",
                                                            "s", "sw", "w", "nw"};
    return points[static_cast<std::size_t>(std::floor((azimuth_deg + 22.5) / 45.0)) % 8];
}

std::string_view compass_words(double azimuth_deg) {
    static constexpr std::array<std::string_view, 8> words{
        "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"};
    return words[static_cast<std::size_t>(std::floor((azimuth_deg + 22.5) / 45.0)) % 8];
}

}  // namespace noonshell
