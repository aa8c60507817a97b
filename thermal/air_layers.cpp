#include "thermal/air_layers.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

namespace {

constexpr double still_air_conductivity_w_mk = 0.025;  // [iso6946]

}  // namespace

double still_air_convection_w_m2k(double thickness_m, HeatFlow flow, double difference_k) {
    NOONSHELL_CHECK_GT(thickness_m, 0.0);
    const double conduction = still_air_conductivity_w_mk / thickness_m;
    const double dt = std::abs(difference_k);
    const bool weak = dt <= 5.0;
    switch (flow) {
        case HeatFlow::up:
            return std::max(conduction, weak ? 1.95 : 1.14 * std::cbrt(dt));
        case HeatFlow::horizontal:
            return std::max(conduction, weak ? 1.25 : 0.73 * std::cbrt(dt));
        case HeatFlow::down:
            break;
    }
    const double by_difference = weak ? 0.12 : 0.09 * std::pow(dt, 0.187);
    return std::max(conduction, by_difference * std::pow(thickness_m, -0.44));
}

double black_radiation_w_m2k(double mean_temperature_c) {
    const double kelvin = mean_temperature_c + kelvin_at_0_c;
    return 4.0 * stefan_boltzmann_w_m2k4 * kelvin * kelvin * kelvin;
}

double still_air_layer_m2k_w(double thickness_m, HeatFlow flow, double emittance_a,
                             double emittance_b, double mean_temperature_c, double difference_k) {
    const double radiation = plates_effective_emittance(emittance_a, emittance_b) *
                             black_radiation_w_m2k(mean_temperature_c);
    return 1.0 / (still_air_convection_w_m2k(thickness_m, flow, difference_k) + radiation);
}

double inside_surface_resistance_m2k_w(HeatFlow flow) {
    switch (flow) {
        case HeatFlow::up:
            return 0.10;
        case HeatFlow::horizontal:
            return 0.13;
        case HeatFlow::down:
            break;
    }
    return 0.17;
}

double inside_convection_w_m2k(HeatFlow flow) {
    switch (flow) {
        case HeatFlow::up:
            return 5.0;
        case HeatFlow::horizontal:
            return 2.5;
        case HeatFlow::down:
            break;
    }
    return 0.7;
}

double outside_surface_resistance_m2k_w(double wind_speed_m_s, double emittance,
                                        double mean_temperature_c) {
    return 1.0 /
           (4.0 + 4.0 * wind_speed_m_s + emittance * black_radiation_w_m2k(mean_temperature_c));
}

double slightly_ventilated_m2k_w(double openings_mm2, double unventilated_m2k_w,
                                 double ventilated_m2k_w) {
    const double vented_share = std::clamp((openings_mm2 - 500.0) / 1000.0, 0.0, 1.0);
    return (1.0 - vented_share) * unventilated_m2k_w + vented_share * ventilated_m2k_w;
}

}  // namespace noonshell
