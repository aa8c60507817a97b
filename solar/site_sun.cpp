#include "solar/site_sun.hpp"

#include <algorithm>
#include <bit>
#include <chrono>
#include <cmath>
#include <limits>
#include <sstream>

#include "geometry/diagnostics.hpp"
#include "geometry/quartered_facets.hpp"
#include "solar/hour_light.hpp"
#include "solar/parallel.hpp"
#include "solar/thrown_errors.hpp"
#include "solar/uneven_light.hpp"

namespace noonshell {

namespace {

constexpr double deviations_of_95_percent = 1.96;
constexpr double dim_surface = 0.1;  // of the brightest: too little sun to matter
constexpr int most_rounds = 5;
constexpr std::uint32_t most_rays = 32768;
/// The default leaves the little light under floors on piers 5 to 8 % too bright, this 1 %.
constexpr double finest_cell_for_accuracy_m = 0.125, finest_part_for_accuracy_m = 0.06;
constexpr double share_of_unevenness_left = 0.3;
constexpr std::size_t most_facets_for_accuracy = 400'000;

/// How much is sampled; grows from round to round.
struct Effort {
    double surface_tolerance = 0.004;
    std::uint32_t most_points = 64;
    std::vector<std::uint32_t> rays;  // #surfaces of the scenery
};

class SunFinder {
  public:
    SunFinder(const Envelope& building, const Site& site, const Weather& weather,
              const SunPath& path, std::span<const double> reflectance,
              const SiteSunOptions& options)
        : site_(site),
          weather_(weather),
          path_(path),
          options_(options),
          reflectance_(reflectance.begin(), reflectance.end()),
          scene_(building.blockers),
          close_by_(find_close_by(building, scene_)),
          hours_of_(options.hours_of) {
        NOONSHELL_CHECK_EQ(options.region_albedo.size(), options.ground.regions.size());
        NOONSHELL_CHECK_EQ(reflectance.size(), building.surfaces.size());
        GroundOptions ground = options.ground;
        if (options.accuracy > 0) {
            ground.finest_cell_m = std::min(ground.finest_cell_m, finest_cell_for_accuracy_m);
        }
        Envelope with_neighbours = with_context(building, options.context);
        const auto told = static_cast<std::ptrdiff_t>(building.warnings.size());
        warnings_.assign(with_neighbours.warnings.begin() + told, with_neighbours.warnings.end());
        result_.scenery = with_ground(with_neighbours, ground);
        for (const GroundRegion& region : ground.regions) regions_.push_back(region_of(region));
        for (std::size_t s = reflectance.size(); s < result_.scenery.surfaces.size(); ++s) {
            const Surface& surface = result_.scenery.surfaces[s];
            reflectance_.push_back(surface.kind == SurfaceKind::context
                                       ? options.context_reflectance
                                       : albedo_of(surface.id));
        }
        cut_parts();
        bins_ = month_of_hour(site, weather);
        circumsolar_.assign(weather.size(), 0.0);
        for (const HourLight& light : lit_hours(site, weather, path, options.sky).hours) {
            circumsolar_[light.hour] = light.sky.circumsolar_w_m2;
        }
        effort_.surface_tolerance = options.surface_tolerance;
        effort_.rays.assign(result_.scenery.surfaces.size(), options.rays_per_facet);
    }

    SiteSun find() {
        on_threads(options_.threads, [this] { find_as_sure_as_asked(); });
        result_.exchange.close_by = std::move(close_by_);
        return std::move(result_);
    }

  private:
    void find_as_sure_as_asked() {
        if (options_.accuracy > 0) {
            effort_.surface_tolerance = 0.5 * options_.accuracy / deviations_of_95_percent;
        }
        for (int round = 1;; ++round) {
            trace();
            find_least_sure();
            if (!(options_.accuracy > 0) || result_.accuracy <= options_.accuracy) break;
            if (round == most_rounds || !add_effort()) {
                warn_not_met();
                break;
            }
        }
    }

    double albedo_of(const std::string& surface_id) const {
        for (std::size_t r = 0; r < options_.ground.regions.size(); ++r) {
            if (surface_id == "ground/" + options_.ground.regions[r].name) {
                return options_.region_albedo[r];
            }
        }
        return site_.ground_albedo;
    }

    /// Neither near the building nor met by any ray.
    void warn_of_unseen(std::size_t region) {
        const std::string id = "ground/" + options_.ground.regions[region].name;
        const auto is_part = [&id](const Surface& surface) {
            return surface.id == id && surface.n_facets > 0;
        };
        if (std::ranges::any_of(result_.scenery.surfaces, is_part)) return;
        const std::vector<double>& share = result_.exchange.region_share;
        for (std::size_t i = region; i < share.size(); i += regions_.size()) {
            if (share[i] > 0) return;
        }
        result_.warnings.push_back({"ground-without-effect",
                                    "no ray from the building meets this part of the ground (out "
                                    "of sight, under the building or "
                                    "an earlier part, or too small and far off): it has no effect",
                                    "[[ground]] " + options_.ground.regions[region].name});
    }

    void cut_parts() {
        parts_ = light_parts(result_.scenery, scene_,
                             {.part_m = options_.part_size_m,
                              .least_m = options_.least_part_size_m,
                              .wanted_m = wanted_m_},
                             options_.threads);
    }

    void trace() {
        const Envelope& scenery = result_.scenery;
        side_by_side(
            [&] {
                result_.sunlight = trace_sunlight(scenery, scene_, path_, weather_,
                                                  {.points_per_facet = options_.points_per_facet,
                                                   .surface_tolerance = effort_.surface_tolerance,
                                                   .most_points_per_facet = effort_.most_points,
                                                   .keep_facet_hours = options_.keep_facet_hours,
                                                   .hours_of = hours_of_,
                                                   .early_answers = !options_.every_sun,
                                                   .every_sun = options_.every_sun,
                                                   .parts = &parts_,
                                                   .seed = options_.seed,
                                                   .bin_of_hour = bins_,
                                                   .circumsolar_w_m2 = circumsolar_,
                                                   .progress = options_.progress,
                                                   .stop = options_.stop});
            },
            [&] {
                result_.exchange =
                    trace_exchange(scenery, scene_,
                                   {.rays_of_surface = effort_.rays,
                                    .parts = &parts_,
                                    .seed = options_.seed,
                                    .north_deg = site_.north_deg,
                                    .hills = site_.horizon.empty() ? nullptr : &site_.horizon,
                                    .ground_regions = regions_});
            });
        result_.exposure = expose(
            scenery, site_, weather_, path_, result_.sunlight, result_.exchange, reflectance_,
            {.sky = options_.sky, .region_albedo = options_.region_albedo, .bin_of_hour = bins_});
        result_.facets = facet_sun(scenery, result_.sunlight, result_.exchange, result_.exposure);
        result_.surfaces = surface_sun(scenery, result_.sunlight, result_.exposure, result_.facets);
        set_thrown_errors(scenery, result_.exchange, result_.exposure, result_.facets,
                          result_.surfaces);
        result_.warnings = warnings_;
        for (std::size_t r = 0; r < regions_.size(); ++r) warn_of_unseen(r);
        result_.warnings.insert(result_.warnings.end(), result_.exposure.warnings.begin(),
                                result_.exposure.warnings.end());
    }

    std::size_t n_surfaces() const { return result_.exposure.n_surfaces; }

    double width(SurfaceId s) const {
        const double sun = result_.surfaces.total_wh_m2(s);
        return sun > 0 ? deviations_of_95_percent * result_.surfaces.standard_error_wh_m2(s) / sun
                       : 0.0;
    }

    /// Surfaces bright enough to be held to the accuracy, by sun on their exposed part.
    bool counts(SurfaceId s) const {
        const Surface& surface = result_.scenery.surfaces[s.index()];
        return (surface.unit.valid() || !has_units()) && surface.exposed_area_m2 > 0 &&
               result_.surfaces.total_wh_m2(s) * surface.area_m2 >=
                   dim_surface * brightest() * surface.exposed_area_m2;
    }

    bool has_units() const { return !result_.scenery.units.empty(); }

    double brightest() const {
        double most = 0;
        for (std::size_t s = 0; s < n_surfaces(); ++s) {
            most = std::max(most, result_.surfaces.total_wh_m2(SurfaceId(s)));
        }
        return most;
    }

    void find_least_sure() {
        result_.accuracy = 0;
        result_.least_sure = {};
        for (std::size_t s = 0; s < n_surfaces(); ++s) {
            const SurfaceId id(s);
            if (!counts(id)) continue;
            if (result_.least_sure.valid() && width(id) <= result_.accuracy) continue;
            result_.accuracy = width(id);
            result_.least_sure = id;
        }
    }

    /// More rays for the surfaces that miss the accuracy, more points and finer parts for all where
    /// those of a surface err too much; false when nothing can be added.
    bool add_effort() {
        bool added = false;
        std::vector<SurfaceId> uneven;
        double finest = effort_.surface_tolerance;
        for (std::size_t s = 0; s < n_surfaces(); ++s) {
            const SurfaceId id(s);
            if (!counts(id) || width(id) <= options_.accuracy) continue;
            const double over = width(id) / options_.accuracy;
            const SurfaceSun& sun = result_.surfaces;
            const double allowed =
                options_.accuracy / deviations_of_95_percent * sun.total_wh_m2(id);
            // No ray makes the light within parts more even.
            const double unevenness = sun.unevenness_wh_m2[s];
            const double with_unevenness =
                std::hypot(sun.sky_standard_error_wh_m2[s], sun.ground_standard_error_wh_m2[s],
                           sun.bounced_standard_error_wh_m2[s]);
            const double by_rays = std::sqrt(
                std::max(0.0, with_unevenness * with_unevenness - unevenness * unevenness));
            if (unevenness > 0.5 * allowed) uneven.push_back(id);
            if (sun.direct_standard_error_wh_m2[s] > 0.5 * allowed) {
                finest = std::min(finest, effort_.surface_tolerance / (2 * over));
            }
            if (by_rays > 0.5 * allowed && effort_.rays[s] < most_rays) {
                const double wanted = effort_.rays[s] * std::pow(by_rays / (0.6 * allowed), 2);
                effort_.rays[s] = std::min(
                    most_rays,
                    std::max(2 * effort_.rays[s], std::bit_ceil(static_cast<std::uint32_t>(
                                                      std::min<double>(wanted, most_rays)))));
                added = true;
            }
        }
        if (finest < effort_.surface_tolerance) {
            effort_.surface_tolerance = finest;
            effort_.most_points = std::min<std::uint32_t>(16384, 4 * effort_.most_points);
            added = true;
        }
        return (!uneven.empty() && refine_parts(uneven)) || added;
    }

    /// Halves the edges of the parts whose unevenness matters most to the surfaces `missed`, and of
    /// their facets where these are no smaller; false where nothing can be cut.
    bool refine_parts(const std::vector<SurfaceId>& missed) {
        const std::vector<std::uint8_t> is_uneven = parts_to_refine(missed);
        const FacetArrays& facets = result_.scenery.facets;
        wanted_m_.resize(facets.size(), std::numeric_limits<double>::infinity());
        std::vector<std::uint8_t> to_cut(facets.size(), 0);
        for (std::size_t f = 0; f < facets.size(); ++f) {
            const PartId p = parts_.of_facet[f];
            if (!p.valid() || is_uneven[p.index()] == 0) continue;
            const double half_m = 0.5 * std::sqrt(parts_.area_m2[p.index()]);
            if (half_m < finest_part_for_accuracy_m) continue;
            wanted_m_[f] = half_m;
            to_cut[f] = std::sqrt(facets.area_m2[f]) > wider_than_wanted * half_m ? 1 : 0;
        }
        cut_whole_surfaces(to_cut);
        if (facets.size() < most_facets_for_accuracy) quarter(to_cut);
        const std::size_t before = parts_.size();
        cut_parts();
        return parts_.size() > before;
    }

    std::vector<std::uint8_t> parts_to_refine(const std::vector<SurfaceId>& missed) const {
        const UnevenLight light = uneven_light(result_.scenery, parts_, result_.exposure);
        std::vector<std::uint8_t> chosen(parts_.size(), 0);
        for (const SurfaceId s : missed) {
            for (const PartId p : most_uneven_parts(result_.scenery, result_.exchange, light, s,
                                                    share_of_unevenness_left)) {
                chosen[p.index()] = 1;
            }
        }
        return chosen;
    }

    /// Facets of a surface stay alike, as FacetFinder wants them; the ground has cells of several
    /// sizes as it is.
    void cut_whole_surfaces(std::vector<std::uint8_t>& to_cut) const {
        for (const Surface& surface : result_.scenery.surfaces) {
            if (surface.kind == SurfaceKind::ground) continue;
            const auto begin = to_cut.begin() + surface.first_facet;
            const auto end = begin + surface.n_facets;
            if (std::find(begin, end, 1) != end) std::fill(begin, end, 1);
        }
    }

    void quarter(const std::vector<std::uint8_t>& to_cut) {
        std::vector<std::uint8_t> by_hour(to_cut.size(), 0);
        for (const FacetId f : hours_of_) by_hour[f.index()] = 1;
        hours_of_.clear();
        std::vector<double> wanted_m;
        QuarteredFacets finer = with_quartered_facets(result_.scenery, to_cut);
        for (std::size_t f = 0; f < finer.cut_from.size(); ++f) {
            const std::size_t from = finer.cut_from[f].index();
            wanted_m.push_back(wanted_m_[from]);
            if (by_hour[from] != 0) hours_of_.emplace_back(f);
        }
        wanted_m_ = std::move(wanted_m);
        result_.scenery = std::move(finer.envelope);
    }

    void warn_not_met() {
        std::ostringstream text;
        text << "an accuracy of " << 100 * options_.accuracy << " % was asked for; "
             << 100 * result_.accuracy << " % was reached, by " << names_of_missed();
        result_.warnings.push_back({"accuracy-not-met", text.str(), "[run] accuracy"});
    }

    /// The widest first, three of them.
    std::string names_of_missed() const {
        std::vector<std::pair<double, std::size_t>> missed;
        for (std::size_t s = 0; s < n_surfaces(); ++s) {
            const SurfaceId id(s);
            if (counts(id) && width(id) > options_.accuracy) missed.emplace_back(-width(id), s);
        }
        std::sort(missed.begin(), missed.end());
        constexpr std::size_t told = 3;
        std::string names;
        for (std::size_t k = 0; k < std::min(told, missed.size()); ++k) {
            names += (k > 0 ? ", " : "") + result_.scenery.surfaces[missed[k].second].id;
        }
        if (missed.size() > told) names += " and " + std::to_string(missed.size() - told) + " more";
        return names;
    }

    const Site& site_;
    const Weather& weather_;
    const SunPath& path_;
    const SiteSunOptions& options_;
    std::vector<double> reflectance_;  // #surfaces of the scenery
    std::vector<PlaneRegion> regions_;
    std::vector<Warning> warnings_;  // of the scenery
    RayScene scene_;
    std::vector<CloseBy> close_by_;
    LightParts parts_;
    std::vector<double> wanted_m_;   // edges of parts, #facets; empty at first
    std::vector<FacetId> hours_of_;  // of the scenery as it is cut
    std::vector<std::uint8_t> bins_;
    std::vector<double> circumsolar_;
    Effort effort_;
    SiteSun result_;
};

}  // namespace

std::vector<std::uint8_t> month_of_hour(const Site& site, const Weather& weather) {
    using namespace std::chrono;
    const seconds offset(std::llround(site.utc_offset_h * 3600));
    std::vector<std::uint8_t> months;
    for (const sys_seconds start : weather.hour_start_utc) {
        const year_month_day date{floor<days>(start + offset)};
        months.push_back(static_cast<std::uint8_t>(static_cast<unsigned>(date.month()) - 1));
    }
    return months;
}

Exposure relit(const SiteSun& sun, const Site& site, const Weather& weather, const SunPath& path,
               std::span<const double> reflectance, SkyModel sky, unsigned threads) {
    NOONSHELL_CHECK_EQ(reflectance.size(), sun.exposure.n_surfaces);
    std::vector<double> all = sun.exposure.reflectance;  // the ground's stay
    std::copy(reflectance.begin(), reflectance.end(), all.begin());
    return expose(sun.scenery, site, weather, path, sun.sunlight, sun.exchange, all,
                  {.sky = sky,
                   .region_albedo = sun.exposure.far_albedo.regions,
                   .bin_of_hour = month_of_hour(site, weather),
                   .threads = threads});
}

SiteSun find_sun(const Envelope& building, const Site& site, const Weather& weather,
                 const SunPath& path, std::span<const double> reflectance,
                 const SiteSunOptions& options) {
    return SunFinder(building, site, weather, path, reflectance, options).find();
}

}  // namespace noonshell
