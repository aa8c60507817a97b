// A split unit or the like: what it can take out of a room and what that costs, by outdoor air.
#pragma once

#include <limits>

namespace noonshell {

/// Capacity and efficiency at the rating point of [iso5151], outdoor air of 35 C (T1, from memory),
/// fall in a straight line with hotter outdoor air: 1 % and 2.2 % per K, so that 11 K more (the hot
/// rating point T3, 46 C) leaves 0.89 and 0.76 of them (common practice for fixed-speed units, from
/// memory). They rise likewise below, no further than at 25 C, and keep at least a fifth.
/// The coil dries the air as it cools it, see room_moisture.hpp. Left out: part load, room air
/// other than that of the rating point, ageing, dirty coils.
struct CoolingPlant {
    static constexpr double rated_outdoor_c = 35;
    double rated_capacity_w = std::numeric_limits<double>::infinity();  ///< infinity: ideal
    double rated_efficiency = 3.0;                                      ///< heat per electricity
    double capacity_falls_per_k = 0.010;
    double efficiency_falls_per_k = 0.022;
    double coil_c = 11;  ///< at which the air that leaves the coil is saturated

    double capacity_share(double outdoor_c) const;
    double capacity_w(double outdoor_c) const;
    double efficiency(double outdoor_c) const;
    bool is_limited() const { return rated_capacity_w < std::numeric_limits<double>::infinity(); }
};

}  // namespace noonshell
