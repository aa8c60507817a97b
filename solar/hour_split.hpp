// Weather in intervals of several hours, taken apart into hours.
#pragma once

#include "solar/site.hpp"
#include "solar/weather_samples.hpp"

namespace noonshell {

/// The hours of intervals that are whole hours long; the mean of every flux over its interval stays
/// what it was.
/// - Global and diffuse light follow the sun: within an interval they are one share of the light
///   above the air, hour by hour (hour_sines()). The beam, and what it gives on level ground, runs
///   as that of a clear sky of the days about it (beam_shares()); so does the part of the global
///   light that is not diffuse. With the sun down all through the interval light is spread evenly.
/// - Longwave runs along a parabola of that mean, from and to the means of the values to either
///   side; it joins the parabolas of the neighbours.
/// - Everything else becomes instants at the end of the hour, on straight lines between readings
///   (means: between the middles of intervals), directions by the shorter way round.
/// A `periodic` series goes on from its end to its beginning; else the nearest value is held. A
/// missing value is missing in all its hours.
WeatherSamples split_to_hours(const Site& site, const WeatherSamples& samples, bool periodic);

}  // namespace noonshell
