#include "thermal/cooling_plant.hpp"

#include <algorithm>

namespace noonshell {

namespace {

constexpr double coolest_outdoor_c = 25;
constexpr double least_share = 0.2;

double share_at(double outdoor_c, double falls_per_k) {
    const double above_k = std::max(outdoor_c, coolest_outdoor_c) - CoolingPlant::rated_outdoor_c;
    return std::max(least_share, 1 - falls_per_k * above_k);
}

}  // namespace

double CoolingPlant::capacity_share(double outdoor_c) const {
    return share_at(outdoor_c, capacity_falls_per_k);
}

double CoolingPlant::capacity_w(double outdoor_c) const {
    return rated_capacity_w * capacity_share(outdoor_c);
}

double CoolingPlant::efficiency(double outdoor_c) const {
    return rated_efficiency * share_at(outdoor_c, efficiency_falls_per_k);
}

}  // namespace noonshell
