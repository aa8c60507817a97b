#include "solar/bright_parts.hpp"

#include <algorithm>
#include <limits>
#include <utility>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/ground.hpp"
#include "solar/hour_light.hpp"
#include "solar/parallel.hpp"

namespace noonshell {

namespace {

constexpr double dark_face_in_light_wind_w_m2k = 20;

/// Thrown light of a part over that of its surface's open area, by month: [month * n_parts + part].
struct ThrownRatios {
    std::vector<double> ground, bounced;
};

/// Means over the parts of what facets have over a month.
std::vector<double> thrown_ratio(const SiteSun& sun, const std::vector<double>& by_facet) {
    const LightParts& parts = sun.exchange.parts;
    const std::size_t n_parts = parts.size(), n_facets = sun.facets.n_facets;
    std::vector<double> ratio(sun.facets.n_bins * n_parts, 1.0);
    for (std::size_t month = 0; month < sun.facets.n_bins; ++month) {
        double* of_part = ratio.data() + month * n_parts;
        std::fill_n(of_part, n_parts, 0.0);
        for (std::size_t f = 0; f < n_facets; ++f) {
            if (!parts.of_facet[f].valid()) continue;
            of_part[parts.of_facet[f].index()] +=
                by_facet[month * n_facets + f] * sun.scenery.facets.area_m2[f];
        }
        for (std::size_t s = 0; s + 1 < parts.surface_begin.size(); ++s) {
            double light = 0, area_m2 = 0;
            for (auto p = parts.surface_begin[s]; p < parts.surface_begin[s + 1]; ++p) {
                light += of_part[p];
                area_m2 += parts.area_m2[p];
            }
            for (auto p = parts.surface_begin[s]; p < parts.surface_begin[s + 1]; ++p) {
                of_part[p] = light > 0 ? of_part[p] / parts.area_m2[p] * area_m2 / light : 1.0;
            }
        }
    }
    return ratio;
}

/// The light of any part in any hour.
class PartHours {
  public:
    PartHours(const SiteSun& sun, const std::vector<std::uint8_t>& month)
        : sun_(sun),
          month_(month),
          thrown_{thrown_ratio(sun, sun.facets.ground_wh_m2),
                  thrown_ratio(sun, sun.facets.bounced_wh_m2)} {
        const LightParts& parts = sun.exchange.parts;
        for (std::size_t s = 0; s < sun.exposure.n_surfaces; ++s) {
            double area_m2 = 0;
            for (auto p = parts.surface_begin[s]; p < parts.surface_begin[s + 1]; ++p) {
                area_m2 += parts.area_m2[p];
            }
            open_share_.push_back(area_m2 / sun.scenery.surfaces[s].area_m2);
        }
    }

    /// `row` of the traced sunlight; any where the sun is down.
    double light_w_m2(const HourLight& hour, std::size_t row, std::size_t surface,
                      std::size_t part) const {
        const ExchangeNet& net = sun_.exchange.part_net;
        const Sunlight& traced = sun_.sunlight;
        const double lit =
            hour.sun_up ? static_cast<double>(traced.part_lit_cosine[row * traced.n_parts + part])
                        : 0.0;
        const double sky = hour.sky.dome_w_m2 * net.sky_share[part] +
                           hour.sky.horizon_w_m2 * net.horizon_share[part] +
                           hour.sky.circumsolar_w_m2 * lit;
        const std::size_t at = sun_.exposure.at(hour.hour, SurfaceId(surface));
        const std::size_t in_month = month_[hour.hour] * sun_.exchange.parts.size() + part;
        const double thrown = sun_.exposure.ground_w_m2[at] * thrown_.ground[in_month] +
                              sun_.exposure.bounced_w_m2[at] * thrown_.bounced[in_month];
        return hour.direct_normal_w_m2 * lit + std::max(0.0, sky) + thrown / open_share_[surface];
    }

  private:
    const SiteSun& sun_;
    const std::vector<std::uint8_t>& month_;
    ThrownRatios thrown_;
    std::vector<double> open_share_;  // #surfaces
};

/// Rows of the traced sunlight by lit hour.
std::vector<std::size_t> sun_rows(const std::vector<HourLight>& hours, const Sunlight& traced) {
    std::vector<std::size_t> rows;
    std::size_t row = 0;
    for (const HourLight& hour : hours) {
        rows.push_back(row);
        if (!hour.sun_up) continue;
        NOONSHELL_CHECK_EQ(traced.sun_hours[row], hour.hour);
        ++row;
    }
    return rows;
}

BrightPart told(const SiteSun& sun, std::size_t surface, PartId part) {
    BrightPart bright;
    if (!part.valid()) return bright;
    const FacetArrays& facets = sun.scenery.facets;
    const Surface& of = sun.scenery.surfaces[surface];
    const auto is_of_part = [&](std::size_t f) {
        return sun.exchange.parts.of_facet[f].valid() && sun.exchange.parts.of_facet[f] == part;
    };
    Vec3 moment(0, 0, 0);
    for (std::size_t f = of.first_facet; f < of.first_facet + of.n_facets; ++f) {
        if (is_of_part(f)) moment += facets.area_m2[f] * facets.centroid_m[f];
    }
    bright.part = part;
    bright.area_m2 = sun.exchange.parts.area_m2[part.index()];
    const Vec3 middle = moment / bright.area_m2;
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t f = of.first_facet; f < of.first_facet + of.n_facets; ++f) {
        const double distance = (facets.centroid_m[f] - middle).norm();
        if (!is_of_part(f) || distance >= nearest) continue;
        nearest = distance;
        bright.facet = FacetId(f);
        bright.middle_m = facets.centroid_m[f];
    }
    return bright;
}

}  // namespace

BrightParts bright_parts(const SiteSun& sun, const Site& site, const Weather& weather,
                         const SunPath& path, SkyModel sky, unsigned threads) {
    const std::vector<HourLight> hours = lit_hours(site, weather, path, sky).hours;
    const std::vector<std::size_t> rows = sun_rows(hours, sun.sunlight);
    const std::vector<std::uint8_t> month = month_of_hour(site, weather);
    const PartHours light(sun, month);
    const std::vector<std::uint32_t>& begin = sun.exchange.parts.surface_begin;
    std::vector<PartId> hottest(sun.exposure.n_surfaces);
    for_each_task(threads, hottest.size(), [&](std::size_t s) {
        double most_c = -std::numeric_limits<double>::infinity();
        for (auto p = begin[s]; p < begin[s + 1]; ++p) {
            for (std::size_t k = 0; k < hours.size(); ++k) {
                const double here_c =
                    weather.dry_bulb_c[hours[k].hour] +
                    light.light_w_m2(hours[k], rows[k], s, p) / dark_face_in_light_wind_w_m2k;
                if (here_c <= most_c) continue;
                most_c = here_c;
                hottest[s] = PartId(p);
            }
        }
    });
    BrightParts result;
    for (std::size_t s = 0; s < hottest.size(); ++s) {
        result.of_surface.push_back(told(sun, s, hottest[s]));
    }
    result.exposure = expose(sun.scenery, site, weather, path, sun.sunlight, sun.exchange,
                             sun.exposure.reflectance,
                             {.sky = sky,
                              .region_albedo = sun.exposure.far_albedo.regions,
                              .bin_of_hour = month,
                              .part_of_surface = std::move(hottest),
                              .threads = threads});
    return result;
}

}  // namespace noonshell
