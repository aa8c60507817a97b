// A building with a place, a year of weather and its suns: what the measures of the sun work on.
#pragma once

#include <chrono>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"
#include "solar/site_sun.hpp"

namespace noonshell::benchmark {

struct SunCase {
    std::string name;
    Site site;
    Weather weather;
    SunPath path;
    Envelope building;
    std::vector<double> reflectance;  ///< of the building's surfaces
};

/// The demo's 12 units under the demo's invented clear year; light on every `day_stride`-th day
/// only, the others dark.
SunCase demo_case(int day_stride, double facet_size_m = 0.5, double sun_step_s = 600);

/// The made settlement of 400 units, at the same place.
SunCase settlement_case(int day_stride, double facet_size_m = 0.5);

/// Directions of all sun steps of hours with light.
std::vector<Vec3> lit_suns(const SunCase& sun_case);

/// What find_sun takes to trace direct sun, but for threads.
ExposureOptions direct_options(std::uint32_t points_per_facet = 4);

Sunlight trace(const SunCase& sun_case, const ExposureOptions& options);
SiteSun find(const SunCase& sun_case, const SiteSunOptions& options);

/// The demo and the options of a quick preview, as `run --fast` has them.
SunCase preview_case(int days_apart);
SiteSunOptions preview_options();

/// Mean over each surface's facets by area, covered ones dark, #surfaces of the building [Wh/m2].
std::vector<double> surface_direct(const SunCase& sun_case, const Sunlight& sunlight);

inline double seconds_of(const std::function<void()>& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

}  // namespace noonshell::benchmark
