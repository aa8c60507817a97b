// How many sample points each facet gets.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"

namespace noonshell {

/// options.points_per_facet for every facet that takes light, 0 for the others; #facets.
std::vector<std::uint32_t> even_points(const Envelope& envelope, const ExposureOptions& options);

/// From a pilot run with even points: on each surface the facets that contribute most to the
/// variance of the surface's direct sum get four times the points, again and again, until the
/// surface is within options.surface_tolerance or nothing more may be added. The variance of a
/// facet is taken to fall as n^-1.5, the rate of one point in each of n cells where shadow edges
/// cross them [mitchell1996].
std::vector<std::uint32_t> plan_points(const Envelope& envelope, const Sunlight& pilot,
                                       const ExposureOptions& options);

}  // namespace noonshell
