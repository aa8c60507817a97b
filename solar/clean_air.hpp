// The most that clean dry air lets through of the sun's beam.
#pragma once

#include <vector>

#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// Optical depth of clean dry air along the way of the beam: 0.8662 m d(m), m the air mass at the
/// site's pressure and d the depth of a mean Rayleigh atmosphere, [kasten1996]. Coefficients from
/// memory of the paper. Real air is this times the Linke turbidity, 2 where it is clearest.
double clean_air_depth(double elevation_deg, double altitude_m);

/// The beam behind it: extraterrestrial times exp(-depth), which no measured hour exceeds.
double clean_air_beam_w_m2(double elevation_deg, double extraterrestrial_w_m2, double altitude_m);

/// The Linke turbidity of the countryside, for light of which nothing else is known.
constexpr double usual_turbidity = 3;

/// By hour the most beam that light on level ground can stand for: means of the clean beam over the
/// part of the hour with the sun up, weighted by the sine of the sun (suns every five minutes); 0
/// at night.
std::vector<double> most_beam_w_m2(const Site& site, const Weather& weather);

}  // namespace noonshell
