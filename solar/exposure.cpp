#include "solar/exposure.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/ground.hpp"
#include "solar/bounce.hpp"
#include "solar/parallel.hpp"

namespace noonshell {

namespace {

constexpr std::size_t lanes = BounceSolver::lanes;
constexpr std::size_t no_row = static_cast<std::size_t>(-1);
/// Hours are shared out in so many runs whatever the number of threads: each sums its own.
constexpr std::size_t most_runs = 32;
/// Of the largest light that leaves anything: far below what sampling leaves open.
constexpr double bounce_tolerance = 1e-7;

/// Row of the traced sunlight for every lit hour; none for those without a sun step.
std::vector<std::size_t> rows_of(const std::vector<HourLight>& hours, const Sunlight& sunlight) {
    std::vector<std::size_t> rows;
    std::size_t row = 0;
    for (const HourLight& light : hours) {
        rows.push_back(light.sun_up ? row : no_row);
        if (!light.sun_up) continue;
        NOONSHELL_CHECK_LT(row, sunlight.sun_hours.size());
        NOONSHELL_CHECK_EQ(sunlight.sun_hours[row], light.hour);
        ++row;
    }
    NOONSHELL_CHECK_EQ(row, sunlight.sun_hours.size());
    return rows;
}

/// Everything that the hours have in common.
struct Sources {
    const Sunlight& sunlight;
    const ExchangeMatrix& exchange;
    const BounceSolver& solver;
    double far_albedo = 0;
    std::uint32_t first_ground_part = 0;
    std::vector<double> share_of_surface;  // a part's area over its surface's, #parts
};

/// Light that leaves the parts, and what sky and far ground send, over a run of hours, by bin.
struct RunSums {
    std::vector<double> leaving_wh_m2;  // [bin * #parts + part]
    std::vector<double> light_wh_m2;    // #parts
    std::vector<double> dome_wh_m2, horizon_wh_m2, far_ground_wh_m2;
    double residual = 0;

    RunSums(std::size_t bins, std::size_t n_parts)
        : leaving_wh_m2(bins * n_parts),
          light_wh_m2(n_parts),
          dome_wh_m2(bins),
          horizon_wh_m2(bins),
          far_ground_wh_m2(bins) {}
};

/// Computes up to `lanes` hours at a time; buffers are reused.
class HourWriter {
  public:
    HourWriter(const Sources& sources, const ExposeOptions& options, Exposure& result)
        : sources_(sources),
          options_(options),
          result_(result),
          n_parts_(sources.exchange.parts.size()),
          arriving_(n_parts_ * lanes),
          leaving_(n_parts_ * lanes),
          bounced_(n_parts_ * lanes),
          ground_(n_parts_ * lanes),
          sums_(result.n_bins, n_parts_) {}

    void write(std::span<const HourLight> hours, std::span<const std::size_t> rows) {
        std::fill(arriving_.begin(), arriving_.end(), 0.0);
        for (std::size_t k = 0; k < hours.size(); ++k) arrive(hours[k], rows[k], k);
        sources_.solver.solve(arriving_, leaving_);
        const std::uint32_t first_ground = sources_.first_ground_part;
        sources_.solver.gather(leaving_, 0, first_ground, bounced_);
        sources_.solver.gather(leaving_, first_ground, static_cast<std::uint32_t>(n_parts_),
                               ground_);
        for (std::size_t k = 0; k < hours.size(); ++k) {
            put_on_surfaces(hours[k], k);
            add_to_bin(hours[k], k);
        }
        for (std::size_t i = 0; i < bounced_.size(); ++i) bounced_[i] += ground_[i];
        const auto balances = sources_.solver.balance(arriving_, leaving_, bounced_);
        for (std::size_t i = 0; i < bounced_.size(); ++i) {
            sums_.light_wh_m2[i / lanes] += arriving_[i] + bounced_[i];
        }
        for (std::size_t k = 0; k < hours.size(); ++k) {
            sums_.residual = std::max(sums_.residual, balances[k].residual());
        }
    }

    const RunSums& sums() const { return sums_; }

  private:
    /// What each part gets straight from sun, sky and far ground; written on its surface as well.
    void arrive(const HourLight& light, std::size_t row, std::size_t k) {
        const ExchangeNet& net = sources_.exchange.part_net;
        const float* lit = row == no_row ? nullptr
                                         : sources_.sunlight.part_lit_cosine.data() +
                                               row * sources_.sunlight.n_parts;
        const double far_ground = sources_.far_albedo * light.global_w_m2;
        for (std::size_t p = 0; p < n_parts_; ++p) {
            const double lit_cosine = lit == nullptr ? 0.0 : static_cast<double>(lit[p]);
            const double direct = light.direct_normal_w_m2 * lit_cosine;
            // The horizon part may be negative; where it would outweigh the rest there is no light.
            const double sky = std::max(0.0, light.sky.dome_w_m2 * net.sky_share[p] +
                                                 light.sky.circumsolar_w_m2 * lit_cosine +
                                                 light.sky.horizon_w_m2 * net.horizon_share[p]);
            const double ground = far_ground * net.ground_share[p];
            arriving_[p * lanes + k] = direct + sky + ground;
            if (p >= sources_.first_ground_part) continue;
            const std::size_t i = result_.at(light.hour, sources_.exchange.parts.surface[p]);
            const double share = sources_.share_of_surface[p];
            result_.direct_w_m2[i] += share * direct;
            result_.sky_w_m2[i] += share * sky;
            result_.ground_w_m2[i] += share * ground;
        }
    }

    void put_on_surfaces(const HourLight& light, std::size_t k) {
        for (std::size_t p = 0; p < sources_.first_ground_part; ++p) {
            const std::size_t i = result_.at(light.hour, sources_.exchange.parts.surface[p]);
            const double share = sources_.share_of_surface[p];
            result_.bounced_w_m2[i] += share * bounced_[p * lanes + k];
            result_.ground_w_m2[i] += share * ground_[p * lanes + k];
        }
    }

    void add_to_bin(const HourLight& light, std::size_t k) {
        const std::size_t bin =
            options_.bin_of_hour.empty() ? 0u : options_.bin_of_hour[light.hour];
        double* leaving = sums_.leaving_wh_m2.data() + bin * n_parts_;
        for (std::size_t p = 0; p < n_parts_; ++p) leaving[p] += leaving_[p * lanes + k];
        sums_.dome_wh_m2[bin] += light.sky.dome_w_m2;
        sums_.horizon_wh_m2[bin] += light.sky.horizon_w_m2;
        sums_.far_ground_wh_m2[bin] += sources_.far_albedo * light.global_w_m2;
    }

    const Sources& sources_;
    const ExposeOptions& options_;
    Exposure& result_;
    std::size_t n_parts_;
    std::vector<double> arriving_, leaving_, bounced_, ground_;  // [part * lanes + hour]
    RunSums sums_;
};

std::vector<double> shares_of_surfaces(const Envelope& envelope, const LightParts& parts) {
    std::vector<double> area_m2(envelope.surfaces.size(), 0.0);
    for (std::size_t f = 0; f < envelope.facets.size(); ++f) {
        area_m2[envelope.facets.surface[f].index()] += envelope.facets.area_m2[f];
    }
    std::vector<double> shares;
    for (std::size_t p = 0; p < parts.size(); ++p) {
        shares.push_back(parts.area_m2[p] / area_m2[parts.surface[p].index()]);
    }
    return shares;
}

std::vector<double> part_reflectance(const LightParts& parts, std::span<const double> reflectance) {
    std::vector<double> of_part;
    for (const SurfaceId surface : parts.surface) {
        of_part.push_back(reflectance[surface.index()]);
    }
    return of_part;
}

Exposure empty_exposure(const Envelope& envelope, const Weather& weather,
                        const ExchangeMatrix& exchange, std::size_t bins) {
    Exposure result;
    result.n_hours = weather.size();
    result.n_surfaces = n_building_surfaces(envelope);
    result.n_parts = exchange.parts.size();
    result.n_bins = bins;
    for (auto* field :
         {&result.direct_w_m2, &result.sky_w_m2, &result.ground_w_m2, &result.bounced_w_m2}) {
        field->assign(result.n_hours * result.n_surfaces, 0.0);
    }
    result.leaving_by_bin_wh_m2.assign(bins * result.n_parts, 0.0);
    result.part_light_wh_m2.assign(result.n_parts, 0.0);
    for (auto* field : {&result.dome_by_bin_wh_m2, &result.horizon_by_bin_wh_m2,
                        &result.far_ground_by_bin_wh_m2}) {
        field->assign(bins, 0.0);
    }
    return result;
}

/// See Exposure::sunlit_ground_share: the lit part of the ground that the parts see, in the ground
/// share of their surface.
std::vector<double> sunlit_ground(const ExchangeMatrix& exchange, const Exposure& exposure,
                                  double open_ground_wh_m2) {
    const ExchangeNet& net = exchange.part_net;
    const std::uint32_t first_ground = exchange.parts.surface_begin[exposure.n_surfaces];
    std::vector<double> lit(exposure.n_surfaces, 0.0), all(exposure.n_surfaces, 0.0);
    for (std::uint32_t p = 0; p < first_ground; ++p) {
        const std::size_t s = exchange.parts.surface[p].index();
        lit[s] += net.area_m2[p] * net.ground_share[p];
        all[s] += net.area_m2[p] * net.ground_share[p];
        for (auto e = net.row_begin[p]; e < net.row_begin[p + 1]; ++e) {
            const std::uint32_t seen = net.column[e];
            if (seen < first_ground) continue;
            const double area = net.area_m2[p] * net.share[e];
            const double light = exposure.part_light_wh_m2[seen];
            all[s] += area;
            if (open_ground_wh_m2 > 0) lit[s] += area * std::min(1.0, light / open_ground_wh_m2);
        }
    }
    for (std::size_t s = 0; s < lit.size(); ++s) {
        // Ground that buried facets see is not lit.
        const double in_light = std::min(1.0, exchange.part_area_m2(SurfaceId(s)) /
                                                  std::max(1e-12, exchange.surfaces.area_m2[s]));
        const double buried = 1 - in_light;
        const double seen = std::max(0.0, exchange.surfaces.ground_share[s] - buried);
        lit[s] = all[s] > 0 ? seen * lit[s] / all[s] : 0.0;
    }
    return lit;
}

void add_to(std::vector<double>& sum, const std::vector<double>& more) {
    for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += more[i];
}

}  // namespace

Exposure expose(const Envelope& envelope, const Site& site, const Weather& weather,
                const SunPath& path, const Sunlight& sunlight, const ExchangeMatrix& exchange,
                std::span<const double> reflectance, const ExposeOptions& options) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    NOONSHELL_CHECK_EQ(reflectance.size(), envelope.surfaces.size());
    NOONSHELL_CHECK_EQ(sunlight.n_parts, exchange.parts.size());
    Exposure result = empty_exposure(envelope, weather, exchange, n_bins(options.bin_of_hour));
    result.reflectance.assign(reflectance.begin(), reflectance.end());
    LitHours lit = lit_hours(site, weather, path, options.sky);
    result.warnings = std::move(lit.warnings);
    const std::vector<std::size_t> rows = rows_of(lit.hours, sunlight);
    const BounceSolver solver(exchange.part_net, part_reflectance(exchange.parts, reflectance),
                              {.tolerance = bounce_tolerance});
    const Sources sources{.sunlight = sunlight,
                          .exchange = exchange,
                          .solver = solver,
                          .far_albedo = options.far_ground_albedo < 0 ? site.ground_albedo
                                                                      : options.far_ground_albedo,
                          .first_ground_part = exchange.parts.surface_begin[result.n_surfaces],
                          .share_of_surface = shares_of_surfaces(envelope, exchange.parts)};
    const std::size_t blocks = (lit.hours.size() + lanes - 1) / lanes;
    const std::size_t runs = std::min(blocks, most_runs);
    std::vector<RunSums> sums(runs, RunSums(0, 0));
    for_each_task(options.threads, runs, [&](std::size_t run) {
        HourWriter writer(sources, options, result);
        for (std::size_t b = blocks * run / runs; b < blocks * (run + 1) / runs; ++b) {
            const std::size_t begin = b * lanes;
            const std::size_t count = std::min(lanes, lit.hours.size() - begin);
            writer.write(std::span(lit.hours).subspan(begin, count),
                         std::span(rows).subspan(begin, count));
        }
        sums[run] = writer.sums();
    });
    for (const RunSums& run : sums) {
        result.solar_residual = std::max(result.solar_residual, run.residual);
        add_to(result.leaving_by_bin_wh_m2, run.leaving_wh_m2);
        add_to(result.part_light_wh_m2, run.light_wh_m2);
        add_to(result.dome_by_bin_wh_m2, run.dome_wh_m2);
        add_to(result.horizon_by_bin_wh_m2, run.horizon_wh_m2);
        add_to(result.far_ground_by_bin_wh_m2, run.far_ground_wh_m2);
    }
    double open_ground_wh_m2 = 0;
    for (const HourLight& light : lit.hours) open_ground_wh_m2 += light.global_w_m2;
    result.sunlit_ground_share = sunlit_ground(exchange, result, open_ground_wh_m2);
    return result;
}

}  // namespace noonshell
