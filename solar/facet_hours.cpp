#include "solar/facet_hours.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>

#include "geometry/diagnostics.hpp"
#include "solar/bounce.hpp"
#include "solar/day_times.hpp"
#include "solar/hour_light.hpp"
#include "solar/parallel.hpp"

namespace noonshell {

namespace {

constexpr std::size_t facet_lanes = BounceSolver::lanes;
constexpr double facet_hour_tolerance = 1e-5;
constexpr std::size_t sunless = static_cast<std::size_t>(-1);

/// An hour with light and its row in the traced sunlight.
struct LitHour {
    HourLight light;
    std::size_t row = sunless;
};

std::vector<LitHour> hours_of(const SiteSun& sun, const Site& site, const Weather& weather,
                              const SunPath& path, SkyModel sky) {
    std::vector<LitHour> hours;
    std::size_t row = 0;
    for (const HourLight& light : lit_hours(site, weather, path, sky).hours) {
        hours.push_back({light, light.sun_up ? row : sunless});
        if (!light.sun_up) continue;
        NOONSHELL_CHECK_EQ(sun.sunlight.sun_hours[row], light.hour);
        ++row;
    }
    return hours;
}

/// Straight light from sun and sky of something with these shares.
double sky_of(const HourLight& light, double sky_share, double horizon_share, double lit) {
    const double sum = light.sky.dome_w_m2 * sky_share + light.sky.horizon_w_m2 * horizon_share +
                       light.sky.circumsolar_w_m2 * lit;
    return std::max(0.0, sum);
}

class FacetHourFinder {
  public:
    FacetHourFinder(const SiteSun& sun, const Site& site, const Weather& weather,
                    const SunPath& path, SkyModel sky, const std::vector<FacetId>& facets)
        : sun_(sun),
          path_(path),
          hours_(hours_of(sun, site, weather, path, sky)),
          solver_(sun.exchange.part_net, reflectance_of_parts(sun)),
          off_far_ground_(
              light_off_far_ground(sun.scenery, sun.exchange, sun.exposure.far_albedo)) {
        result_.facets = facets;
        for (const LitHour& hour : hours_) result_.hours.push_back(hour.light.hour);
        for (auto* field : {&result_.direct_w_m2, &result_.sky_w_m2, &result_.ground_w_m2,
                            &result_.bounced_w_m2, &result_.sunlit_share}) {
            field->assign(hours_.size() * facets.size(), 0.0F);
        }
    }

    FacetHours find(const std::vector<std::uint8_t>& month, unsigned threads) {
        for_each_task(threads, (hours_.size() + facet_lanes - 1) / facet_lanes,
                      [this](std::size_t block) {
                          const std::size_t begin = block * facet_lanes;
                          write(begin, std::min(facet_lanes, hours_.size() - begin));
                      });
        scale_to_months(month, sun_.facets.ground_wh_m2, result_.ground_w_m2);
        scale_to_months(month, sun_.facets.bounced_wh_m2, result_.bounced_w_m2);
        return std::move(result_);
    }

  private:
    static std::vector<double> reflectance_of_parts(const SiteSun& sun) {
        std::vector<double> of_part;
        for (const SurfaceId surface : sun.exchange.parts.surface) {
            of_part.push_back(sun.exposure.reflectance[surface.index()]);
        }
        return of_part;
    }

    /// Light that leaves every part in the hours, [part * facet_lanes + hour].
    std::vector<float> leaving(std::size_t begin, std::size_t count) const {
        const ExchangeNet& net = sun_.exchange.part_net;
        std::vector<float> arriving(net.size() * facet_lanes, 0.0F),
            leaving(net.size() * facet_lanes, 0.0F);
        for (std::size_t k = 0; k < count; ++k) {
            const LitHour& hour = hours_[begin + k];
            const float* lit = hour.row == sunless ? nullptr
                                                   : sun_.sunlight.part_lit_cosine.data() +
                                                         hour.row * sun_.sunlight.n_parts;
            for (std::size_t p = 0; p < net.size(); ++p) {
                const double cosine = lit == nullptr ? 0.0 : static_cast<double>(lit[p]);
                arriving[p * facet_lanes + k] = static_cast<float>(
                    hour.light.direct_normal_w_m2 * cosine +
                    sky_of(hour.light, net.sky_share[p], net.horizon_share[p], cosine) +
                    hour.light.global_w_m2 * off_far_ground_[p]);
            }
        }
        solver_.solve(arriving, facet_hour_tolerance, leaving);
        return leaving;
    }

    void write(std::size_t begin, std::size_t count) {
        const std::vector<float> thrown = leaving(begin, count);
        for (std::size_t i = 0; i < result_.facets.size(); ++i) {
            const std::size_t f = result_.facets[i].index();
            if (!sun_.exchange.parts.of_facet[f].valid()) {
                for (std::size_t k = 0; k < count; ++k) put_share(begin + k, i, 0);
                continue;
            }
            for (std::size_t k = 0; k < count; ++k) put_straight(begin + k, i);
            put_thrown(begin, count, i, thrown);
        }
    }

    double lit_cosine(const LitHour& hour, std::size_t i) const {
        if (hour.row == sunless) return 0;
        return static_cast<double>(
            sun_.sunlight.chosen_lit_cosine[hour.row * result_.facets.size() + i]);
    }

    void put_straight(std::size_t row, std::size_t i) {
        const LitHour& hour = hours_[row];
        const std::size_t f = result_.facets[i].index();
        const double cosine = lit_cosine(hour, i);
        const std::size_t at = result_.at(row, i);
        result_.direct_w_m2[at] = static_cast<float>(hour.light.direct_normal_w_m2 * cosine);
        result_.sky_w_m2[at] = static_cast<float>(
            sky_of(hour.light, sun_.exchange.sky_share[f], sun_.exchange.horizon_share[f], cosine));
        result_.ground_w_m2[at] =
            static_cast<float>(hour.light.global_w_m2 *
                               light_off_far_ground(sun_.exchange, sun_.exposure.far_albedo, f));
        put_share(row, i, cosine);
    }

    void put_share(std::size_t row, std::size_t i, double cosine) {
        const Vec3& normal = sun_.scenery.facets.normal[result_.facets[i].index()];
        const std::uint32_t hour = hours_[row].light.hour;
        const double unshaded = path_.beam_cosine(hour, normal);
        result_.sunlit_share[result_.at(row, i)] =
            unshaded > 0 ? static_cast<float>(std::min(1.0, cosine / unshaded))
                         : std::numeric_limits<float>::quiet_NaN();
    }

    void put_thrown(std::size_t begin, std::size_t count, std::size_t i,
                    const std::vector<float>& thrown) {
        const ExchangeMatrix& exchange = sun_.exchange;
        const std::size_t f = result_.facets[i].index();
        std::array<double, facet_lanes> bounced{}, ground{};
        for (auto e = exchange.row_begin[f]; e < exchange.row_begin[f + 1]; ++e) {
            const std::size_t p = exchange.column[e].index();
            auto& sum = p < exchange.parts.first_ground ? bounced : ground;
            for (std::size_t k = 0; k < facet_lanes; ++k) {
                sum[k] += exchange.share[e] * static_cast<double>(thrown[p * facet_lanes + k]);
            }
        }
        for (std::size_t k = 0; k < count; ++k) {
            result_.bounced_w_m2[result_.at(begin + k, i)] = static_cast<float>(bounced[k]);
            result_.ground_w_m2[result_.at(begin + k, i)] += static_cast<float>(ground[k]);
        }
    }

    /// The months are solved more exactly than the hours.
    void scale_to_months(const std::vector<std::uint8_t>& month, std::span<const double> by_month,
                         std::vector<float>& by_hour) const {
        const std::size_t n_months = sun_.facets.n_bins, n_facets = sun_.facets.n_facets;
        for (std::size_t i = 0; i < result_.facets.size(); ++i) {
            std::vector<double> sum(n_months, 0.0), factor(n_months, 1.0);
            for (std::size_t row = 0; row < hours_.size(); ++row) {
                sum[month[result_.hours[row]]] += static_cast<double>(by_hour[result_.at(row, i)]);
            }
            for (std::size_t m = 0; m < n_months; ++m) {
                const double exact = by_month[m * n_facets + result_.facets[i].index()];
                if (sum[m] > 0) factor[m] = exact / sum[m];
            }
            for (std::size_t row = 0; row < hours_.size(); ++row) {
                by_hour[result_.at(row, i)] *=
                    static_cast<float>(factor[month[result_.hours[row]]]);
            }
        }
    }

    const SiteSun& sun_;
    const SunPath& path_;
    std::vector<LitHour> hours_;
    BounceSolver solver_;
    std::vector<double> off_far_ground_;  // #parts
    FacetHours result_;
};

/// Of one facet; all quantities together.
double light_w_m2(const FacetHours& hours, std::size_t at) {
    double sum = 0;
    for (const auto* part :
         {&hours.direct_w_m2, &hours.sky_w_m2, &hours.ground_w_m2, &hours.bounced_w_m2}) {
        sum += static_cast<double>((*part)[at]);
    }
    return sum;
}

}  // namespace

FacetHours facet_hours(const SiteSun& sun, const Site& site, const Weather& weather,
                       const SunPath& path, SkyModel sky, unsigned threads) {
    const std::vector<FacetId>& facets = sun.sunlight.chosen_facets;
    NOONSHELL_CHECK_EQ(sun.sunlight.chosen_lit_cosine.size(),
                       facets.size() * sun.sunlight.sun_hours.size());
    return FacetHourFinder(sun, site, weather, path, sky, facets)
        .find(month_of_hour(site, weather), threads);
}

std::vector<SunTimes> facet_times(const Envelope& scenery, const Site& site, const Weather& weather,
                                  const SunPath& path, const FacetHours& hours) {
    constexpr double least_lit_cosine = 0.01;  // less is what the edge of a shadow leaves
    std::vector<SunTimes> all;
    for (std::size_t i = 0; i < hours.facets.size(); ++i) {
        SunTimes times;
        const auto normal = std::span(scenery.facets.normal).subspan(hours.facets[i].index(), 1);
        DaySum day(site, weather);
        for (std::size_t row = 0; row < hours.hours.size(); ++row) {
            const std::size_t hour = hours.hours[row], at = hours.at(row, i);
            const double light = light_w_m2(hours, at);
            if (light > times.worst_hour_w_m2) {
                times.worst_hour = hour;
                times.worst_hour_w_m2 = light;
            }
            day.add(hour, light, times);
            const double beam = weather.direct_normal_w_m2[hour];
            if (beam > 0 && static_cast<double>(hours.direct_w_m2[at]) > least_lit_cosine * beam) {
                widen(times, time_of_day_s(site, weather, hour), time_before(normal, path, hour));
            }
        }
        all.push_back(times);
    }
    return all;
}

}  // namespace noonshell
