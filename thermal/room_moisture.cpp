#include "thermal/room_moisture.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

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

/// Vapour that the room would hold or send on without the coil [kg/s], and the air by which that is
/// shared out.
struct VapourSums {
    double vapour_kg_s, air_kg_s;

    VapourSums(double humidity_kg_kg, const MoistureStep& s)
        : vapour_kg_s(s.air_kg / s.step_s * humidity_kg_kg +
                      s.inflow_kg_s * s.inflow_humidity_kg_kg + s.gain_kg_s),
          air_kg_s(s.air_kg / s.step_s + s.inflow_kg_s) {}
};

double heat_past_coil_j_kg(double humidity_kg_kg, const MoistureStep& step, double coil_c) {
    return (air_specific_heat_j_kgk + vapour_specific_heat_j_kgk * humidity_kg_kg) *
           (step.air_c - coil_c);
}

}  // namespace

double saturated_humidity_kg_kg(double air_c, double pressure_pa) {
    const double vapour_pa = enhancement * saturation_pressure_pa(air_c);
    return vapour_over_air * vapour_pa /
           std::max(least_dry_share * pressure_pa, pressure_pa - vapour_pa);
}

RoomMoisture advance_moisture(double humidity_kg_kg, const MoistureStep& step, double coil_c) {
    const VapourSums sums(humidity_kg_kg, step);
    RoomMoisture next{sums.vapour_kg_s / sums.air_kg_s, 0, false};
    const double coil_humidity = saturated_humidity_kg_kg(coil_c, step.pressure_pa);
    if (step.cooling_w > 0 && step.air_c > coil_c && next.humidity_kg_kg > coil_humidity) {
        const double coil_kg_s = step.cooling_w / heat_past_coil_j_kg(humidity_kg_kg, step, coil_c);
        next.humidity_kg_kg =
            (sums.vapour_kg_s + coil_kg_s * coil_humidity) / (sums.air_kg_s + coil_kg_s);
        next.latent_w = coil_kg_s * (next.humidity_kg_kg - coil_humidity) * evaporation_j_kg;
        const double left_w = std::max(0.0, step.most_w - step.cooling_w);
        if (next.latent_w > left_w) {
            next.latent_w = left_w;
            next.humidity_kg_kg = (sums.vapour_kg_s - left_w / evaporation_j_kg) / sums.air_kg_s;
            next.held_back = true;
        }
    }
    next.humidity_kg_kg =
        std::min(next.humidity_kg_kg, saturated_humidity_kg_kg(step.air_c, step.pressure_pa));
    return next;
}

double most_sensible_w(double humidity_kg_kg, const MoistureStep& step, double coil_c) {
    const VapourSums sums(humidity_kg_kg, step);
    const double coil_humidity = saturated_humidity_kg_kg(coil_c, step.pressure_pa);
    const double too_moist_kg_s = sums.vapour_kg_s - sums.air_kg_s * coil_humidity;
    if (!(step.most_w < std::numeric_limits<double>::infinity()) || step.air_c <= coil_c ||
        too_moist_kg_s <= 0)
        return step.most_w;
    const double sensible_j_kg = heat_past_coil_j_kg(humidity_kg_kg, step, coil_c);
    // The root in the form that subtracts no near-equal numbers.
    const double linear =
        sensible_j_kg * sums.air_kg_s + evaporation_j_kg * too_moist_kg_s - step.most_w;
    const double constant = step.most_w * sums.air_kg_s;
    const double root = std::sqrt(linear * linear + 4 * sensible_j_kg * constant);
    const double coil_kg_s =
        linear > 0 ? 2 * constant / (root + linear) : (root - linear) / (2 * sensible_j_kg);
    return sensible_j_kg * coil_kg_s;
}

}  // namespace noonshell
