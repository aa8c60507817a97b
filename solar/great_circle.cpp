#include "solar/great_circle.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace noonshell {

double great_circle_km(double latitude_a_deg, double longitude_a_deg, double latitude_b_deg,
                       double longitude_b_deg) {
    constexpr double degree = std::numbers::pi / 180, earth_radius_km = 6371;
    const double a = latitude_a_deg * degree, b = latitude_b_deg * degree;
    const double half_lat = std::sin((a - b) / 2);
    const double half_lon = std::sin((longitude_a_deg - longitude_b_deg) * degree / 2);
    const double haversine = half_lat * half_lat + std::cos(a) * std::cos(b) * half_lon * half_lon;
    return 2 * earth_radius_km * std::asin(std::min(1.0, std::sqrt(haversine)));
}

}  // namespace noonshell
