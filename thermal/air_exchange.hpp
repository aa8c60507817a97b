// Outdoor air that comes into a room: leaks driven by wind and by warm air's lift, and ventilation
// that somebody or a fan opens by the clock and the day.
#pragma once

#include "thermal/week_hours.hpp"

namespace noonshell {

/// Leaks of one room. Either a fixed change of air, or the basic model of [ashrae2021] ch. 16
/// ([sherman1980]; coefficients from memory) from an effective leakage area at 4 Pa:
///   Q = A_L / 1000 sqrt(Cs |dT| + Cw U^2)  [m3/s, A_L in cm2, U the wind of the weather station].
/// The coefficients are those of a building of one storey, by the shelter that stands around it:
/// class 1 in the open, 2 in open country with a few obstacles, 3 typical, 4 among houses, 5 dense.
struct AirLeakage {
    double air_change_per_h = 0.5;  ///< of the room's volume; where no leakage area is given
    double leakage_area_cm2 = 0;    ///< above 0: in place of that
    int shelter_class = 3;

    /// [m3/s]
    double flow_m3_s(double volume_m3, double room_c, double outdoor_c, double wind_m_s) const;
};

/// Throws InputError for a class out of 1..5.
double wind_coefficient(int shelter_class);

/// Ventilation by the hour of the week, where and while it cools: outdoor air is cooler than the
/// room by `least_difference_k`, and the room warmer than `coolest_room_c`. Fresh air comes in at
/// its hours whatever the temperatures, besides.
struct Ventilation {
    WeekHours air_change_per_h{};
    double least_difference_k = 2.0;
    double coolest_room_c = 22.0;
    double fan_w_per_m3_s = 0;  ///< electricity per flow; 0: windows
    WeekHours fresh_air_per_h{};
    double fresh_air_fan_w_per_m3_s = 0;  ///< likewise, of the fresh air

    /// The share of an hour's ventilation that these temperatures ask for, 0..1; it rises over one
    /// kelvin from either limit.
    double wanted_share(double room_c, double outdoor_c) const;
    bool is_used() const;
};

}  // namespace noonshell
