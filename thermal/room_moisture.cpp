#include "thermal/room_moisture.hpp"

#include <algorithm>

#include "solar/humidity.hpp"
#include "thermal/air.hpp"

namespace noonshell {

namespace {

constexpr double vapour_over_air = 0.621945;  // molar masses
constexpr double enhancement =
    1.0045;  // moist air is no ideal gas, [ashrae2021] ch. 1, from memory
constexpr double vapour_specific_heat_j_kgk = 1860.0;
constexpr double evaporation_j_kg = 2.501e6;  // at 0 C, as the handbook's enthalpy has it

/// Hotter than this no vapour counts: the room's own air would boil.
constexpr double least_dry_share = 0.01;

double with_coil(double humidity, const MoistureStep& s, double coil_kg_s, double coil_humidity) {
    const double inertia = s.air_kg / s.step_s;
    return (inertia * humidity + s.inflow_kg_s * s.inflow_humidity_kg_kg + s.gain_kg_s +
            coil_kg_s * coil_humidity) /
           (inertia + s.inflow_kg_s + coil_kg_s);
}

}  // namespace

double saturated_humidity_kg_kg(double air_c, double pressure_pa) {
    const double vapour_pa = enhancement * saturation_pressure_pa(air_c);
    return vapour_over_air * vapour_pa /
           std::max(least_dry_share * pressure_pa, pressure_pa - vapour_pa);
}

RoomMoisture advance_moisture(double humidity_kg_kg, const MoistureStep& step, double coil_c) {
    RoomMoisture next{with_coil(humidity_kg_kg, step, 0, 0), 0};
    const double coil_humidity = saturated_humidity_kg_kg(coil_c, step.pressure_pa);
    if (step.cooling_w > 0 && step.air_c > coil_c && next.humidity_kg_kg > coil_humidity) {
        const double heat_j_kgk =
            air_specific_heat_j_kgk + vapour_specific_heat_j_kgk * humidity_kg_kg;
        const double coil_kg_s = step.cooling_w / (heat_j_kgk * (step.air_c - coil_c));
        next.humidity_kg_kg = with_coil(humidity_kg_kg, step, coil_kg_s, coil_humidity);
        next.latent_w = coil_kg_s * (next.humidity_kg_kg - coil_humidity) * evaporation_j_kg;
    }
    next.humidity_kg_kg =
        std::min(next.humidity_kg_kg, saturated_humidity_kg_kg(step.air_c, step.pressure_pa));
    return next;
}

}  // namespace noonshell
