#include "thermal/vented_gap.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "geometry/diagnostics.hpp"
#include "thermal/air_layers.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

namespace {

constexpr double gravity_m_s2 = 9.80665;
constexpr double dry_air_j_kgk = 287.055;
constexpr double steep_sine = 0.866;  // [iso6946]: within 30 degrees of upright counts as upright
// Between heat going up and heat going down the still layer's value changes; the change is spread
// over this difference so that the heat flow stays continuous.
constexpr double turn_over_k = 1.0;
constexpr double settled_m_s = 4e-12;
constexpr double bend_reserve = 0.1;
constexpr int most_rounds = 100;

// [iso15099] annex B, dry air, coefficients from memory.
double viscosity_pa_s(double kelvin) {
    return 3.723e-6 + 4.94e-8 * kelvin;
}
double specific_heat_j_kgk(double kelvin) {
    return 1002.737 + 1.2324e-2 * kelvin;
}

double still_convection_w_m2k(const GapGeometry& gap, double sheet_c, double wall_c) {
    const double dt = sheet_c - wall_c;
    if (gap.height_m >= steep_sine * gap.flow_length_m)
        return still_air_convection_w_m2k(gap.depth_m, HeatFlow::horizontal, dt);
    const double up = still_air_convection_w_m2k(gap.depth_m, HeatFlow::up, dt);
    const double down = still_air_convection_w_m2k(gap.depth_m, HeatFlow::down, dt);
    const double from_below_k = gap.sheet_below ? dt : -dt;
    const double up_share = std::clamp(0.5 + from_below_k / (2 * turn_over_k), 0.0, 1.0);
    return up_share * up + (1 - up_share) * down;
}

/// 1 - exp(-x) for x >= 0, to 1e-13 of itself.
double taken_up_share(double x) {
    constexpr double small = 0.01;
    if (x < small) return x * (1 - x / 2 * (1 - x / 3 * (1 - x / 4 * (1 - x / 5 * (1 - x / 6)))));
    return 1 - std::exp(-x);
}

// What one gap under one set of temperatures asks of the air speed.
struct Flow {
    const GapGeometry& gap;
    double still_w_m2k, faces_c, outdoor_c, pressure_pa;
    double density_kg_m3, heat_j_m3k, friction_pa_s_m, loss_kg_m3, wind_pa;
    double turnovers_m3_k_j, outdoor_column_pa;

    Flow(const GapGeometry& geometry, double still, double faces, double outdoor, double pressure,
         double wind_m_s)
        : gap(geometry),
          still_w_m2k(still),
          faces_c(faces),
          outdoor_c(outdoor),
          pressure_pa(pressure) {
        const double kelvin = (faces_c + outdoor_c) / 2 + kelvin_at_0_c;
        density_kg_m3 = pressure_pa / (dry_air_j_kgk * kelvin);
        heat_j_m3k = density_kg_m3 * specific_heat_j_kgk(kelvin);
        // Hagen-Poiseuille between plates.
        friction_pa_s_m =
            12 * viscosity_pa_s(kelvin) * gap.flow_length_m / (gap.depth_m * gap.depth_m);
        // Velocity head and the two ends, Z = (As / (0.66 or 0.60 A) - 1)^2. An opening wider than
        // the gap counts as the gap's own section, beyond which the formula would rise again.
        const double section_share = gap.depth_m / std::min(gap.opening_m2_per_m, gap.depth_m);
        const double in = section_share / 0.66 - 1, out = section_share / 0.60 - 1;
        const double meshes = 2 * mesh_loss(gap.mesh_open_share) * section_share * section_share;
        loss_kg_m3 = density_kg_m3 / 2 * (1 + in * in + out * out + meshes);
        wind_pa = gap.wind_coefficient * density_kg_m3 / 2 * wind_m_s * wind_m_s;
        turnovers_m3_k_j = 2 * gap.flow_length_m / (heat_j_m3k * gap.depth_m);
        outdoor_column_pa =
            gravity_m_s2 * gap.height_m * pressure_pa / dry_air_j_kgk / (outdoor_c + kelvin_at_0_c);
    }

    double convection_w_m2k(double speed) const { return 2 * still_w_m2k + 4 * speed; }

    GapAir air(double speed) const {
        return air_along_gap(gap.depth_m, gap.flow_length_m, speed, heat_j_m3k,
                             convection_w_m2k(speed), outdoor_c, faces_c);
    }

    // g H |rho_out - rho_gap|, ideal gas: the form of [iso15099] with rho T constant.
    double stack_pa(double speed) const {
        double mean_c = faces_c;  // as air_along_gap() has it
        if (speed > 0) {
            const double turnovers = turnovers_m3_k_j * convection_w_m2k(speed) / speed;
            mean_c -= (faces_c - outdoor_c) * taken_up_share(turnovers) / turnovers;
        }
        return outdoor_column_pa * std::abs(mean_c - outdoor_c) / (mean_c + kelvin_at_0_c);
    }

    double driving_pa(double speed) const { return stack_pa(speed) + wind_pa; }

    // The speed at which friction_pa_s_m V + loss_kg_m3 V^2 uses up the pressure.
    double speed_under(double pa) const {
        const double root = std::sqrt(friction_pa_s_m * friction_pa_s_m + 4 * loss_kg_m3 * pa);
        return 2 * pa / (friction_pa_s_m + root);
    }
};

// Faster air stays cooler and is driven less: V - speed_under(driving(V)) rises with V, so its one
// root lies between 0 and the speed under the full stack and the wind. Secant steps, halving when
// one leaves the bracket. From a guess near the root the first step goes by a slope of 3/2: where
// the air leaves as warm as the faces speed_under() hardly falls (slope 1), and where it hardly
// warms up the stack goes with 1 / V (slope up to 2).
double settle(const Flow& flow, double guess_m_s) {
    double low = 0, high = flow.speed_under(flow.driving_pa(0));
    if (high == 0) return 0;
    const bool near = guess_m_s > 0 && guess_m_s < high;
    constexpr double usual_slope = 1.5;
    double speed = near ? guess_m_s : high;
    double before = 0, before_excess = -high;
    double excess = 0;
    for (int round = 0; round < most_rounds; ++round) {
        excess = speed - flow.speed_under(flow.driving_pa(speed));
        if (std::abs(excess) <= settled_m_s) return speed;
        (excess > 0 ? high : low) = speed;
        double next =
            speed - (near && round == 0 ? excess / usual_slope
                                        : excess * (speed - before) / (excess - before_excess));
        const bool inside = next > low && next < high;
        if (!inside) next = (low + high) / 2;
        if (high - low <= settled_m_s) return next;
        // A secant step leaves the product of the last two errors times the bend, some 1 / V.
        const double left = std::abs((next - speed) * (speed - before)) / speed;
        if (inside && round > 0 && left <= bend_reserve * settled_m_s) return next;
        before = speed;
        before_excess = excess;
        speed = next;
    }
    std::ostringstream text;
    text << "air speed in a vented gap did not settle within " << most_rounds
         << " rounds: " << speed << " m/s, residual " << excess << " m/s";
    throw ConvergenceError(text.str());
}

}  // namespace

double mesh_loss(double open_share) {
    const double closed_per_open = 1 / open_share - 1;
    return 1.3 * (1 - open_share) + closed_per_open * closed_per_open;
}

GapAir air_along_gap(double depth_m, double length_m, double air_speed_m_s, double air_heat_j_m3k,
                     double h_w_m2k, double inlet_c, double faces_c) {
    GapAir air{.outlet_c = faces_c, .mean_c = faces_c, .faces_share = 1, .carried_w_per_m = 0};
    if (air_speed_m_s <= 0) return air;
    const double heat_flow_w_mk = air_heat_j_m3k * depth_m * air_speed_m_s;
    const double turnovers = 2 * h_w_m2k * length_m / heat_flow_w_mk;  // N = L / H0
    const double taken_up = taken_up_share(turnovers);
    air.outlet_c = inlet_c + (faces_c - inlet_c) * taken_up;
    air.faces_share = 1 - taken_up / turnovers;
    air.mean_c = faces_c - (faces_c - inlet_c) * taken_up / turnovers;
    air.carried_w_per_m = heat_flow_w_mk * (faces_c - inlet_c) * taken_up;
    return air;
}

GapNetwork vented_gap(const GapGeometry& gap, double sheet_c, double wall_c, double outdoor_c,
                      double air_speed_guess_m_s, double pressure_pa, double wind_m_s) {
    NOONSHELL_CHECK_GT(gap.depth_m, 0.0);
    NOONSHELL_CHECK_GT(gap.flow_length_m, 0.0);
    const double faces_c = (sheet_c + wall_c) / 2;
    const double still = still_convection_w_m2k(gap, sheet_c, wall_c);
    const double radiation = plates_effective_emittance(gap.inner_emittance, gap.inner_emittance) *
                             black_radiation_w_m2k(faces_c);
    GapNetwork network;
    network.link_w_m2k = still + radiation;
    network.outlet_c = faces_c;
    if ((gap.height_m <= 0 && gap.wind_coefficient <= 0) || gap.opening_m2_per_m <= 0)
        return network;

    const Flow flow(gap, still, faces_c, outdoor_c, pressure_pa, wind_m_s);
    network.air_speed_m_s = settle(flow, air_speed_guess_m_s);
    const GapAir air = flow.air(network.air_speed_m_s);
    const double h = flow.convection_w_m2k(network.air_speed_m_s);
    network.link_w_m2k = h * air.faces_share / 2 + radiation;
    network.loss_w_m2k = h * (1 - air.faces_share);
    network.outlet_c = air.outlet_c;
    network.carried_away_w_m2 = air.carried_w_per_m / gap.flow_length_m;
    return network;
}

}  // namespace noonshell
