// Everything about the sun on a building in one call: ground, exchange, direct sun, sky, bounces,
// and how sure the sums are.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "geometry/context.hpp"
#include "geometry/envelope.hpp"
#include "geometry/ground.hpp"
#include "solar/exchange.hpp"
#include "solar/exposure.hpp"
#include "solar/site.hpp"
#include "solar/sun_path.hpp"
#include "solar/surface_sun.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct SiteSunOptions {
    GroundOptions ground{};
    std::vector<double> region_albedo{};  ///< of ground.regions, same length
    ContextOptions context{};
    double context_reflectance = 0.25;  ///< of light, of all context bodies
    std::uint32_t points_per_facet = 4;
    std::uint32_t rays_per_facet = 512;
    double part_size_m = 2.0;          ///< see light_parts()
    double least_part_size_m = 0.5;    ///< of parts near something else; as large: all alike
    double surface_tolerance = 0.004;  ///< as in ExposureOptions, where no accuracy is asked for
    SkyModel sky = SkyModel::anisotropic;
    bool every_sun = false;  ///< a ray from every point to the sun of every step, no grid of suns
    bool keep_facet_hours = false;
    /// Facets of the building that facet_hours() tells of; of one that an accuracy cuts finer, all
    /// its pieces.
    std::vector<FacetId> hours_of{};
    std::uint32_t seed = 0;
    /// Half width of the 95 % range of the yearly sun of every unit's surface over that sun (of all
    /// surfaces where the building has no units): points and rays are added until it is met, and
    /// the parts and facets cut finer whose uneven light matters most. 0: as many as stand above.
    double accuracy = 0;
    unsigned threads = 0;
    std::function<void(double)> progress{};  ///< share done 0..1; from the calling thread only
    const std::atomic<bool>* stop = nullptr;
};

struct SiteSun {
    /// The building's envelope with context and then ground at its end; where an accuracy was asked
    /// for, its facets may be finer than the building's were, see take_facets().
    Envelope scenery;
    ExchangeMatrix exchange;
    Sunlight sunlight;
    Exposure exposure;
    FacetSun facets;
    SurfaceSun surfaces;
    /// Largest half width of the 95 % range of any unit surface's yearly sun over that sun, among
    /// surfaces with at least a tenth of the brightest one's sun per area; of all such surfaces
    /// where the building has no units.
    double accuracy = 0;
    SurfaceId least_sure;  ///< whose it is; none where no surface counts
    /// Those of exposure; "context-in-small-faces", "ground-without-effect", "accuracy-not-met".
    std::vector<Warning> warnings;
};

/// Sums are by month of the site's calendar: 12 bins, January first. `reflectance` as in expose(),
/// of the building's surfaces alone. Throws as its parts do.
SiteSun find_sun(const Envelope& building, const Site& site, const Weather& weather,
                 const SunPath& path, std::span<const double> reflectance,
                 const SiteSunOptions& options = {});

/// The light on the same scenery with other reflectances of the building's surfaces; no ray is
/// shot. Throws as expose() does.
Exposure relit(const SiteSun& sun, const Site& site, const Weather& weather, const SunPath& path,
               std::span<const double> reflectance, SkyModel sky, unsigned threads = 0);

/// Month 0..11 in local standard time in which each hour begins, #hours.
std::vector<std::uint8_t> month_of_hour(const Site& site, const Weather& weather);

}  // namespace noonshell
