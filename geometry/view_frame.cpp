#include "geometry/view_frame.hpp"

#include <Eigen/Geometry>
#include <cmath>
#include <numbers>

#include "geometry/compass.hpp"

namespace noonshell {

ViewFrame view_from_side(double azimuth_deg, double north_deg) {
    const Vec3 toward = direction_in_model_axes(azimuth_deg, 0, north_deg);
    const Vec3 up = Vec3::UnitZ();
    return {up.cross(toward), up, toward};
}

ViewFrame view_from_above(double azimuth_up_deg, double north_deg) {
    const Vec3 up = direction_in_model_axes(azimuth_up_deg, 0, north_deg);
    const Vec3 toward = Vec3::UnitZ();
    return {up.cross(toward), up, toward};
}

std::array<double, 4> main_sides_deg(const Envelope& envelope) {
    // Four times the azimuth is the same for all four sides: their mean direction.
    constexpr double rad_per_deg = std::numbers::pi / 180;
    double x = 0, y = 0;
    for (const Surface& surface : envelope.surfaces) {
        if (surface.kind != SurfaceKind::wall) continue;
        x += surface.area_m2 * std::cos(4 * surface.azimuth_deg * rad_per_deg);
        y += surface.area_m2 * std::sin(4 * surface.azimuth_deg * rad_per_deg);
    }
    // To a thousandth of a degree: names and numbers do not hang on the last bit.
    const double north_side = std::round(1000 * std::atan2(y, x) / (4 * rad_per_deg)) / 1000;
    const double first = north_side < 0 ? north_side + 360 : north_side;
    std::array<double, 4> sides{};
    for (std::size_t k = 0; k < sides.size(); ++k)
        sides[k] = std::fmod(first + 90 * static_cast<double>(k), 360);
    return sides;
}

}  // namespace noonshell
