#include "thermal/passage_air.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {

constexpr double passage_gravity_m_s2 = 9.81, kelvin_at_zero_c = 273.15;
// Air of 40 C, [incropera] table A.4.
constexpr double viscosity_m2_s = 1.7e-5, air_conductivity_w_mk = 0.027;
// Sharp inlet, outlet into the open: [idelchik] ch. 3 and 11; friction: ch. 2.
constexpr double ends_loss = 0.5 + 1.0;
constexpr double opening_flow = 0.6 / 3;  // [brown1962], coefficient of discharge 0.6

double friction(double reynolds) {
    return std::max(96 / reynolds, 0.316 / std::sqrt(std::sqrt(reynolds)));
}

}  // namespace

// What friction takes grows with the speed, so there is one answer between 0 and the open speed;
// halving finds it to 1e-9 of that.
double passage_speed_m_s(const Passage& passage, double open_m_s) {
    if (!(open_m_s > 0) || !(passage.clearance_m > 0)) return 0;
    const double driving = ends_loss * open_m_s * open_m_s;
    double low = 0, high = open_m_s;
    for (int halving = 0; halving < 30; ++halving) {
        const double v = 0.5 * (low + high);
        const double reynolds = 2 * passage.clearance_m * v / viscosity_m2_s;
        const double losses =
            ends_loss + friction(reynolds) * passage.length_m / (2 * passage.clearance_m);
        (losses * v * v > driving ? high : low) = v;
    }
    return 0.5 * (low + high);
}

double lifted_speed_m_s(const Passage& passage, double apart_k, double open_air_c) {
    return opening_flow * std::sqrt(passage_gravity_m_s2 * passage.clearance_m * std::abs(apart_k) /
                                    (open_air_c + kelvin_at_zero_c));
}

double still_air_w_m2k(const Passage& passage) {
    return 2 * air_conductivity_w_mk / passage.clearance_m;
}

double share_of_open_air(double h_w_m2k, double flow_w_m2k) {
    if (!(flow_w_m2k > 0)) return 0;
    const double n = 2 * h_w_m2k / flow_w_m2k;
    return n < 1e-6 ? 1 - n / 2 : -std::expm1(-n) / n;
}

}  // namespace noonshell
