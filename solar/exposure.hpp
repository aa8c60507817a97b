// Sun on every facet and surface, hour by hour.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/far_ground.hpp"
#include "solar/hour_light.hpp"
#include "solar/ray_scene.hpp"
#include "solar/site.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct ExposureOptions {
    std::uint32_t points_per_facet = 4;  ///< stratified, low-discrepancy; 2..1024
    /// Where the standard error of a surface's direct sun would exceed this part of it (or of a
    /// fifth of its unshaded sun, if that is more), its most uncertain facets get up to
    /// most_points_per_facet. 0: every facet has points_per_facet.
    double surface_tolerance = 0.004;
    std::uint32_t most_points_per_facet = 64;
    bool keep_facet_hours = false;  ///< true: fill Sunlight::lit_cosine, 4 bytes per facet and hour
    std::vector<FacetId> hours_of{};  ///< fill Sunlight::chosen_lit_cosine for these
    bool early_answers = true;  ///< answer whole groups without rays where that is certain; the
                                ///< result is the same either way
    /// Shadows are traced at suns this far apart and read between them, see SunGrid, where the
    /// period has many more steps than these are.
    double declination_step_deg = 1.0, hour_angle_step_deg = 2.5;
    bool every_sun = false;             ///< true: at every step instead
    double part_size_m = 2.0;           ///< see light_parts(); as in ExchangeOptions
    const LightParts* parts = nullptr;  ///< in place of part_size_m; as in ExchangeOptions
    std::uint32_t seed = 0;             ///< another one gives other points of the same kind
    /// Bin of every weather hour (months, say), #hours, for the sums by bin; empty: one bin.
    std::vector<std::uint8_t> bin_of_hour{};
    /// Circumsolar light of every weather hour [W/m2, normal to the sun], #hours, for its sums by
    /// facet; empty: none.
    std::vector<double> circumsolar_w_m2{};
    unsigned threads = 0;  ///< 0: all
    /// Share done 0..1; called from the calling thread only; may be empty.
    std::function<void(double)> progress{};
    const std::atomic<bool>* stop = nullptr;  ///< when it turns true, Interrupted is thrown
};

/// Where direct sun falls. Independent of weather but for which hours count: it is traced once and
/// reused for every change that moves no geometry. Covered facets and those below the ground plane
/// are dark.
struct Sunlight {
    std::size_t n_facets = 0;
    std::size_t n_parts = 0;  ///< see light_parts()
    std::size_t n_bins = 1;
    std::vector<std::uint32_t> sun_hours;  ///< weather hours with a row, ascending; #rows
    /// Mean over the hour's sun steps with the sun up of lit share times cos incidence:
    /// [row * n_facets + facet]; empty without keep_facet_hours.
    std::vector<float> lit_cosine;
    /// The same for the facets of ExposureOptions::hours_of: [row * #hours_of + i]. Readings from
    /// the grid are kept within dark and wholly lit; their beam adds up to direct_by_bin_wh_m2.
    std::vector<float> chosen_lit_cosine;
    std::vector<FacetId> chosen_facets;  ///< ExposureOptions::hours_of
    /// The same as the mean over each part: [row * n_parts + part].
    std::vector<float> part_lit_cosine;
    std::vector<double> sun_time_h;    ///< time with direct sun while DNI > 0, #facets
    std::vector<double> direct_wh_m2;  ///< over the whole period, #facets
    /// The same by bin, and the circumsolar light by bin: [bin * n_facets + facet].
    std::vector<double> direct_by_bin_wh_m2, circumsolar_by_bin_wh_m2;
    /// The same with nothing in the way, covered facets included, #facets.
    std::vector<double> unshaded_direct_wh_m2;
    /// Of direct_wh_m2 from the sampling, #facets: from the differences of the period's sums at
    /// points that share a cell, two in each of n / 2 cells. Each point has half a cell of its own,
    /// so the true error is smaller. The error of the sun step is not in it.
    std::vector<double> direct_standard_error_wh_m2;
    std::uint64_t answers = 0;  ///< pairs of a point and a sun in front of it
    std::uint64_t rays = 0;     ///< of these, settled by a ray; the rest needed none
};

/// Answers every sample point at every sun step of every hour with DNI or DHI above 0: an hour's
/// beam is shared equally by its steps with the sun up. Shadows only; the ground casts none.
/// Throws InputError for points_per_facet out of range, Interrupted when stopped.
Sunlight trace_sunlight(const Envelope& envelope, const RayScene& scene, const SunPath& path,
                        const Weather& weather, const ExposureOptions& options = {});

/// Irradiance incident on surfaces, hour-major, see at(); mean over the whole surface, covered
/// parts counted as dark [W/m2].
struct Exposure {
    std::size_t n_hours = 0;
    std::size_t n_surfaces = 0;  ///< of the building
    std::size_t n_parts = 0;     ///< of the building and the ground
    std::size_t n_bins = 1;
    /// Dark hours share one row: of many surfaces a year fills much memory. #hours; empty: every
    /// hour has its own.
    std::vector<std::uint32_t> row_of_hour;
    std::vector<double> direct_w_m2;
    std::vector<double> sky_w_m2;      ///< dome, circumsolar and horizon parts; never below 0
    std::vector<double> ground_w_m2;   ///< from the ground, after any number of bounces
    std::vector<double> bounced_w_m2;  ///< from other surfaces after any number of bounces
    std::vector<double> reflectance;  ///< what it was computed with, #surfaces with context, ground
    /// All light on every part over the period, #parts.
    std::vector<double> part_light_wh_m2;
    /// The part of every surface's ground share that is lit, weighed by the light on it over the
    /// period against that on open ground, #surfaces of the building.
    std::vector<double> sunlit_ground_share;
    /// Light that leaves every part, building, context and ground, by bin: [bin * n_parts + part].
    std::vector<double> leaving_by_bin_wh_m2;
    /// What the sky sends, by bin: dome and horizon part, and what open ground gets.
    std::vector<double> dome_by_bin_wh_m2, horizon_by_bin_wh_m2, open_ground_by_bin_wh_m2;
    FarAlbedo far_albedo;  ///< what it was computed with
    /// Largest relative gap of the light balance of any bin (light that arrives from sun, sky and
    /// far ground, less what surfaces and near ground absorb, less what leaves to sky, far ground
    /// and context).
    double solar_residual = 0;
    /// Hours and bins are solved in two ways, bins more exactly: the largest part by which the
    /// light thrown onto a surface over a bin was scaled to that of the bin, weighed by its part of
    /// the brightest surface's.
    double hour_correction = 0;
    std::vector<Warning> warnings;  ///< "beam-without-sun"

    /// Where the surfaces of an hour begin.
    std::size_t begin_of(std::size_t hour) const {
        return (row_of_hour.empty() ? hour : row_of_hour[hour]) * n_surfaces;
    }
    std::size_t at(std::size_t hour, SurfaceId surface) const {
        return begin_of(hour) + surface.index();
    }
};

struct ExposeOptions {
    SkyModel sky = SkyModel::anisotropic;
    std::vector<double> region_albedo{};      ///< of ExchangeOptions::ground_regions, same length
    std::vector<std::uint8_t> bin_of_hour{};  ///< as in ExposureOptions
    /// Where not empty, the light of surfaces is that on one part of each, none: dark; #surfaces of
    /// the building.
    std::vector<PartId> part_of_surface{};
    unsigned threads = 0;
};

/// Hourly irradiance of every surface from what was traced.
/// - direct: DNI times lit cosine.
/// - sky: [perez1990] eq (9) at the mean sun of the hour's steps with the sun up, its dome by the
///   traced sky share, its circumsolar part by the lit cosine, its horizon part by the traced
///   horizon share. An hour with diffuse light and no sun step has an even dome.
/// - ground: light leaving the ground facets, which lie in the building's shade or not, and the far
///   ground beyond them, which lies in full sun: albedo (DNI mean cos Z + DHI) of its region.
/// - bounced: all surfaces, those of context bodies among them (with_context), and the ground
///   facets reflect diffusely; see bounce.hpp and bounce_paths.hpp.
/// `reflectance` is the solar reflectance of each surface's exposed part, context and ground
/// included, #surfaces of `envelope`, 0..1 (else InputError). Needs no rays: a coating study calls
/// this again with the same Sunlight and ExchangeMatrix. Throws ConvergenceError when the bounces
/// do not settle.
Exposure expose(const Envelope& envelope, const Site& site, const Weather& weather,
                const SunPath& path, const Sunlight& sunlight, const ExchangeMatrix& exchange,
                std::span<const double> reflectance, const ExposeOptions& options = {});

}  // namespace noonshell
