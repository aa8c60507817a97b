#include "thermal/air_exchange.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"

namespace noonshell {

namespace {

// One storey, [ashrae2021] ch. 16, tables of the basic model, from memory: (L/s)^2 / (cm4 K) and
// (L/s)^2 / (cm4 (m/s)^2).
constexpr double stack_coefficient = 0.000145;
constexpr std::array<double, 5> wind_coefficients = {0.000319, 0.000246, 0.000174, 0.000104,
                                                     0.000032};
constexpr double litres_per_m3 = 1000;
constexpr double switch_over_k = 1.0;

}  // namespace

double wind_coefficient(int shelter_class) {
    if (shelter_class < 1 || shelter_class > static_cast<int>(wind_coefficients.size())) {
        throw InputError({.entity = "shelter_class"}, "1 to 5", std::to_string(shelter_class));
    }
    return wind_coefficients[static_cast<std::size_t>(shelter_class - 1)];
}

double AirLeakage::flow_m3_s(double volume_m3, double room_c, double outdoor_c,
                             double wind_m_s) const {
    if (!(leakage_area_cm2 > 0)) return air_change_per_h * volume_m3 / seconds_per_hour;
    return leakage_area_cm2 / litres_per_m3 *
           std::sqrt(stack_coefficient * std::abs(room_c - outdoor_c) +
                     wind_coefficient(shelter_class) * wind_m_s * wind_m_s);
}

double Ventilation::wanted_share(double room_c, double outdoor_c) const {
    const double above_k =
        std::min(room_c - outdoor_c - least_difference_k, room_c - coolest_room_c);
    return std::clamp(above_k / switch_over_k, 0.0, 1.0);
}

bool Ventilation::is_used() const {
    const auto any = [](const WeekHours& hours) {
        return std::any_of(hours.begin(), hours.end(), [](double changes) { return changes > 0; });
    };
    return any(air_change_per_h) || any(fresh_air_per_h);
}

}  // namespace noonshell
