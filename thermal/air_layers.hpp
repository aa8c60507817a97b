// Still and vented air layers and surface films.
#pragma once

namespace noonshell {

enum class HeatFlow { up, horizontal, down };

/// Convection and conduction across an unventilated layer [W/(m2 K)] after [iso6946] annex D
/// (values from memory): the larger of 0.025/d and a value by direction. Up to a difference of 5 K
/// that value is constant (1.95 up, 1.25 horizontal, 0.12 d^-0.44 down), beyond it grows with the
/// difference. The larger of the two makes thin layers pure conduction. `thickness_m` above 0.
double still_air_convection_w_m2k(double thickness_m, HeatFlow flow, double difference_k = 5.0);

/// Heat flows up through a level layer when its lower side is the warmer one.
/// Unventilated layer [m2 K/W] after [iso6946] annex D: thickness, mean temperature, emittances,
/// temperature difference across it.
double still_air_layer_m2k_w(double thickness_m, HeatFlow flow, double emittance_a,
                             double emittance_b, double mean_temperature_c = 10.0,
                             double difference_k = 5.0);

/// Radiation of a black face at this temperature, 4 sigma T^3 [W/(m2 K)].
double black_radiation_w_m2k(double mean_temperature_c);

/// Inside surface resistance [m2 K/W]: 0.10 up, 0.13 horizontal, 0.17 down; [iso6946].
double inside_surface_resistance_m2k_w(HeatFlow flow);

/// Inside convection part alone [W/(m2 K)]: 5.0 up, 2.5 horizontal, 0.7 down; [iso6946] annex C.
double inside_convection_w_m2k(HeatFlow flow);

/// Outside surface resistance [m2 K/W] by wind speed, 1/(4 + 4 v + hr); [iso6946] annex C.
double outside_surface_resistance_m2k_w(double wind_speed_m_s, double emittance = 0.9,
                                        double mean_temperature_c = 0.0);

/// Total resistance of a slightly ventilated layer; openings per m (vertical) or per m2 (level)
/// [mm2]; [iso6946] 6.9. Below 500 returns `unventilated`, at 1500 and above `ventilated`.
double slightly_ventilated_m2k_w(double openings_mm2, double unventilated_m2k_w,
                                 double ventilated_m2k_w);

}  // namespace noonshell
