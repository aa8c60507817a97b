// The sun of single facets hour by hour: what tables and diagrams of one spot need.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/site.hpp"
#include "solar/site_sun.hpp"
#include "solar/sun_path.hpp"
#include "solar/surface_hours.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// Light on some facets in every hour with any, hour-major, see at(). The hours of a month add up
/// to FacetSun, but for sky light where single hours were held at 0 (see there).
struct FacetHours {
    std::vector<FacetId> facets;
    std::vector<std::uint32_t> hours;  ///< of the weather, ascending; #rows
    std::vector<float> direct_w_m2, sky_w_m2;
    std::vector<float> ground_w_m2, bounced_w_m2;  ///< after any number of bounces
    /// Share of the facet that the sun reaches, 0..1, weighed by the cosine of incidence; NaN where
    /// the sun is down or behind the facet all hour.
    std::vector<float> sunlit_share;

    std::size_t at(std::size_t row, std::size_t facet) const { return row * facets.size() + facet; }
};

/// The hours of the facets that `sun` was asked to keep (SiteSunOptions::hours_of). Thrown light is
/// solved hour by hour to 1e-5 of the brightest and scaled to the sums of its month; no ray is
/// shot. Site, weather, path and sky model are those of `sun`. Throws ConvergenceError as expose().
FacetHours facet_hours(const SiteSun& sun, const Site& site, const Weather& weather,
                       const SunPath& path, SkyModel sky, unsigned threads = 0);

/// When each facet has its sun, as sun_times() tells of surfaces; #facets of `hours`.
std::vector<SunTimes> facet_times(const Envelope& scenery, const Site& site, const Weather& weather,
                                  const SunPath& path, const FacetHours& hours);

}  // namespace noonshell
