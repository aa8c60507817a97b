#include "thermal/u_value.hpp"

namespace noonshell {

double u_value_w_m2k(const Construction& construction, HeatFlow flow) {
    constexpr double outside_m2k_w = 0.04;
    const double inside_m2k_w = inside_surface_resistance_m2k_w(flow);
    return 1 / (inside_m2k_w + layers_resistance_m2k_w(construction) +
                (construction.cladding ? inside_m2k_w : outside_m2k_w));
}

}  // namespace noonshell
