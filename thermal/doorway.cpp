#include "thermal/doorway.hpp"

#include <cmath>

#include "thermal/air.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

double Doorway::flow_m3_s(double a_c, double b_c, double share) const {
    constexpr double gravity = 9.80665;
    const double difference_k = std::abs(a_c - b_c);
    const double mean_k = (a_c + b_c) / 2 + kelvin_at_0_c;
    const double coefficient = 0.40 + 0.0045 * difference_k;
    return share * coefficient / 3 * width_m * height_m *
           std::sqrt(gravity * height_m * difference_k / mean_k);
}

}  // namespace noonshell
