// Sun on every facet and surface, hour by hour.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/ray_scene.hpp"
#include "solar/site.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct ExposureOptions {
    std::uint32_t points_per_facet = 4;  ///< stratified, low-discrepancy
    unsigned threads = 0;                ///< 0: all
    std::function<void(double)> progress;       ///< share done 0..1; called from one thread; may be empty
    const std::atomic<bool>* stop = nullptr;    ///< when it turns true, Interrupted is thrown
};

/// Where direct sun falls. Independent of weather but for which hours count: it is traced once and
/// reused for every change that moves no geometry.
struct Sunlight {
    std::size_t n_facets = 0;
    std::vector<std::uint32_t> sun_hours;   ///< weather hours with a row, ascending; #rows
    /// Mean over the hour's sun steps with the sun up of lit share times cos incidence:
    /// [row * n_facets + facet].
    std::vector<float> lit_cosine;
    std::vector<double> sun_time_h;              ///< time with direct sun while DNI > 0, #facets
    std::vector<double> direct_wh_m2;            ///< over the whole period, #facets
    std::vector<double> unshaded_direct_wh_m2;   ///< the same with nothing in the way, #facets
    std::vector<double> direct_standard_error_wh_m2;  ///< of direct_wh_m2 from the sampling, #facets
    std::uint64_t rays = 0;
};

/// Shoots every sample point at every sun step of every hour with DNI or DHI above 0.
Sunlight trace_sunlight(const Envelope& envelope, const RayScene& scene, const SunPath& path,
                        const Weather& weather, const ExposureOptions& options = {});

/// Irradiance incident on surfaces, hour-major: [hour * n_surfaces + surface]; mean over the whole
/// surface, covered parts counted as dark [W/m2].
struct Exposure {
    std::size_t n_hours = 0;
    std::size_t n_surfaces = 0;
    std::vector<double> direct_w_m2;
    std::vector<double> sky_w_m2;      ///< dome, circumsolar and horizon parts
    std::vector<double> ground_w_m2;   ///< from the ground, seen straight
    std::vector<double> bounced_w_m2;  ///< from other surfaces after any number of bounces
    double solar_residual = 0;  ///< worst relative gap of the light balance over the period
    std::vector<Warning> warnings;

    std::size_t at(std::size_t hour, SurfaceId surface) const {
        return hour * n_surfaces + surface.index();
    }
};

/// `reflectance` is the outside solar reflectance of each surface's exposed part, #surfaces. Needs no
/// rays: a coating study calls this again with the same Sunlight and ExchangeMatrix.
Exposure expose(const Envelope& envelope, const Site& site, const Weather& weather,
                const SunPath& path, const Sunlight& sunlight, const ExchangeMatrix& exchange,
                std::span<const double> reflectance, unsigned threads = 0);

}  // namespace noonshell
