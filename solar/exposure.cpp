#include "solar/exposure.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "geometry/ground.hpp"
#include "solar/bounce.hpp"
#include "solar/bounce_paths.hpp"
#include "solar/parallel.hpp"
#include "solar/wide.hpp"

namespace noonshell {

namespace {

constexpr std::size_t lanes = BounceSolver::lanes;
constexpr std::size_t no_row = static_cast<std::size_t>(-1);
/// Hours are shared out in so many runs whatever the number of threads: each sums its own.
constexpr std::size_t most_runs = 16;
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
    const BouncePaths* paths;  // none: each hour is solved for itself
    double far_albedo = 0;
    std::vector<double> share_of_surface;  // a part's area over its surface's, #parts
    std::vector<float> no_sun;             // zeros, #parts

    const float* lit_cosines(std::size_t row) const {
        return row == no_row ? no_sun.data()
                             : sunlight.part_lit_cosine.data() + row * sunlight.n_parts;
    }
};

/// What arrives at the parts, and what sky and far ground send, over a run of hours, by bin.
struct RunSums {
    std::vector<double> arriving_wh_m2;  // [bin * #parts + part]
    std::vector<double> dome_wh_m2, horizon_wh_m2, far_ground_wh_m2;

    RunSums(std::size_t bins, std::size_t n_parts)
        : arriving_wh_m2(bins * n_parts),
          dome_wh_m2(bins),
          horizon_wh_m2(bins),
          far_ground_wh_m2(bins) {}
};

/// Up to `lanes` hours side by side; those that are wanting are dark.
struct HourLanes {
    double direct[lanes]{}, dome[lanes]{}, circumsolar[lanes]{}, horizon[lanes]{},
        far_ground[lanes]{};
    const float* lit[lanes]{};
};

/// Straight light on one part or, as means, on a surface.
struct LaneLight {
    double direct[lanes]{}, sky[lanes]{}, ground[lanes]{};
};

/// What a part sees of everything that shines from outside.
struct OpenShares {
    double sky = 0, horizon = 0, ground = 0;
};

/// The horizon part of the sky may be negative; where it would outweigh the rest there is no light.
NOONSHELL_WIDE void light_part(const HourLanes& hours, std::size_t part, const OpenShares& open,
                               double share, LaneLight& surface, double* arriving) {
    double lit[lanes];
    for (std::size_t k = 0; k < lanes; ++k) lit[k] = static_cast<double>(hours.lit[k][part]);
    for (std::size_t k = 0; k < lanes; ++k) {
        const double direct = hours.direct[k] * lit[k];
        const double sky = hours.dome[k] * open.sky + hours.circumsolar[k] * lit[k] +
                           hours.horizon[k] * open.horizon;
        const double seen = sky > 0 ? sky : 0.0;
        const double ground = hours.far_ground[k] * open.ground;
        arriving[k] = direct + seen + ground;
        surface.direct[k] += share * direct;
        surface.sky[k] += share * seen;
        surface.ground[k] += share * ground;
    }
}

/// Computes up to `lanes` hours at a time; buffers are reused.
class HourWriter {
  public:
    HourWriter(const Sources& sources, const ExposeOptions& options, Exposure& result)
        : sources_(sources),
          options_(options),
          result_(result),
          n_parts_(sources.exchange.parts.size()),
          arriving_(n_parts_ * lanes),
          bounced_(result.n_surfaces * lanes),
          ground_(result.n_surfaces * lanes),
          sums_(result.n_bins, n_parts_) {}

    void write(std::span<const HourLight> hours, std::span<const std::size_t> rows) {
        const HourLanes side_by_side = lanes_of(hours, rows);
        const auto& begin = sources_.exchange.parts.surface_begin;
        for (std::size_t s = 0; s + 1 < begin.size(); ++s) {
            LaneLight light;
            for (auto p = begin[s]; p < begin[s + 1]; ++p) arrive(side_by_side, p, light);
            if (s < result_.n_surfaces) put_straight(hours, SurfaceId(s), light);
        }
        if (sources_.paths != nullptr) {
            sources_.paths->gather(arriving_, bounced_, ground_);
        } else {
            solve();
        }
        for (std::size_t k = 0; k < hours.size(); ++k) {
            put_thrown(hours[k], k);
            add_to_bin(hours[k], k);
        }
    }

    const RunSums& sums() const { return sums_; }

  private:
    HourLanes lanes_of(std::span<const HourLight> hours, std::span<const std::size_t> rows) const {
        HourLanes result;
        std::fill_n(result.lit, lanes, sources_.no_sun.data());
        for (std::size_t k = 0; k < hours.size(); ++k) {
            result.direct[k] = hours[k].direct_normal_w_m2;
            result.dome[k] = hours[k].sky.dome_w_m2;
            result.circumsolar[k] = hours[k].sky.circumsolar_w_m2;
            result.horizon[k] = hours[k].sky.horizon_w_m2;
            result.far_ground[k] = sources_.far_albedo * hours[k].global_w_m2;
            result.lit[k] = sources_.lit_cosines(rows[k]);
        }
        return result;
    }

    /// What a part gets straight from sun, sky and far ground.
    void arrive(const HourLanes& hours, std::uint32_t p, LaneLight& surface) {
        const ExchangeNet& net = sources_.exchange.part_net;
        const OpenShares open{net.sky_share[p], net.horizon_share[p], net.ground_share[p]};
        light_part(hours, p, open, sources_.share_of_surface[p], surface,
                   arriving_.data() + p * lanes);
    }

    void put_straight(std::span<const HourLight> hours, SurfaceId surface, const LaneLight& light) {
        for (std::size_t k = 0; k < hours.size(); ++k) {
            const std::size_t i = result_.at(hours[k].hour, surface);
            result_.direct_w_m2[i] = light.direct[k];
            result_.sky_w_m2[i] = light.sky[k];
            result_.ground_w_m2[i] = light.ground[k];
        }
    }

    /// The same as BouncePaths::gather, by one solution for these hours.
    void solve() {
        leaving_.resize(arriving_.size());
        thrown_.resize(arriving_.size());
        sources_.solver.solve(arriving_, leaving_);
        const std::uint32_t first_ground =
            sources_.exchange.parts.surface_begin[result_.n_surfaces];
        sources_.solver.gather(leaving_, 0, first_ground, thrown_);
        put_means(bounced_);
        sources_.solver.gather(leaving_, first_ground, static_cast<std::uint32_t>(n_parts_),
                               thrown_);
        put_means(ground_);
    }

    void put_means(std::vector<double>& means) const {
        std::fill(means.begin(), means.end(), 0.0);
        const auto& begin = sources_.exchange.parts.surface_begin;
        for (std::size_t s = 0; s < result_.n_surfaces; ++s) {
            for (auto p = begin[s]; p < begin[s + 1]; ++p) {
                for (std::size_t k = 0; k < lanes; ++k) {
                    means[s * lanes + k] += sources_.share_of_surface[p] * thrown_[p * lanes + k];
                }
            }
        }
    }

    void put_thrown(const HourLight& light, std::size_t k) {
        for (std::size_t s = 0; s < result_.n_surfaces; ++s) {
            const std::size_t i = result_.at(light.hour, SurfaceId(s));
            result_.bounced_w_m2[i] = bounced_[s * lanes + k];
            result_.ground_w_m2[i] += ground_[s * lanes + k];
        }
    }

    void add_to_bin(const HourLight& light, std::size_t k) {
        const std::size_t bin =
            options_.bin_of_hour.empty() ? 0u : options_.bin_of_hour[light.hour];
        double* arriving = sums_.arriving_wh_m2.data() + bin * n_parts_;
        for (std::size_t p = 0; p < n_parts_; ++p) arriving[p] += arriving_[p * lanes + k];
        sums_.dome_wh_m2[bin] += light.sky.dome_w_m2;
        sums_.horizon_wh_m2[bin] += light.sky.horizon_w_m2;
        sums_.far_ground_wh_m2[bin] += sources_.far_albedo * light.global_w_m2;
    }

    const Sources& sources_;
    const ExposeOptions& options_;
    Exposure& result_;
    std::size_t n_parts_;
    std::vector<double> arriving_;          // [part * lanes + hour]
    std::vector<double> leaving_, thrown_;  // the same, where hours are solved for themselves
    std::vector<double> bounced_, ground_;  // [surface * lanes + hour]
    RunSums sums_;
};

/// What the surfaces of the building get from others over each bin, from the sums of what arrives:
/// the same light as that of all hours, found the other way round.
class BinSolver {
  public:
    BinSolver(const ExchangeMatrix& exchange, const BounceSolver& solver, Exposure& result)
        : exchange_(exchange), solver_(solver), result_(result), n_parts_(exchange.parts.size()) {}

    /// `arriving_wh_m2`: [bin * #parts + part].
    void solve(std::span<const double> arriving_wh_m2) {
        for (std::size_t first = 0; first < result_.n_bins; first += lanes) {
            const std::size_t count = std::min(lanes, result_.n_bins - first);
            solve(arriving_wh_m2.subspan(first * n_parts_), first, count);
        }
    }

    /// From outside onto all parts, and thrown onto those of the building [Wh].
    double arriving_wh() const { return arriving_wh_; }
    double thrown_wh() const { return thrown_wh_; }

  private:
    void solve(std::span<const double> bins_wh_m2, std::size_t first, std::size_t count) {
        std::vector<double> arriving(n_parts_ * lanes), leaving(n_parts_ * lanes),
            thrown(n_parts_ * lanes);
        for (std::size_t k = 0; k < count; ++k) {
            for (std::size_t p = 0; p < n_parts_; ++p) {
                arriving[p * lanes + k] = bins_wh_m2[k * n_parts_ + p];
            }
        }
        solver_.solve(arriving, leaving);
        solver_.gather(leaving, 0, static_cast<std::uint32_t>(n_parts_), thrown);
        for (const LightBalance& balance : solver_.balance(arriving, leaving, thrown)) {
            result_.solar_residual = std::max(result_.solar_residual, balance.residual());
        }
        for (std::size_t p = 0; p < n_parts_; ++p) {
            for (std::size_t k = 0; k < count; ++k) add(p, p * lanes + k, arriving, thrown);
            for (std::size_t k = 0; k < count; ++k) {
                result_.leaving_by_bin_wh_m2[(first + k) * n_parts_ + p] = leaving[p * lanes + k];
            }
        }
    }

    void add(std::size_t p, std::size_t i, const std::vector<double>& arriving,
             const std::vector<double>& thrown) {
        result_.part_light_wh_m2[p] += arriving[i] + thrown[i];
        arriving_wh_ += exchange_.parts.area_m2[p] * arriving[i];
        const SurfaceId surface = exchange_.parts.surface[p];
        if (surface.index() < result_.n_surfaces) {
            thrown_wh_ += exchange_.parts.area_m2[p] * thrown[i];
        }
    }

    const ExchangeMatrix& exchange_;
    const BounceSolver& solver_;
    Exposure& result_;
    std::size_t n_parts_;
    double arriving_wh_ = 0, thrown_wh_ = 0;
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

namespace {

/// Writes the light of all hours; returns the sums of what arrives, [bin * #parts + part].
std::vector<double> write_hours(const Sources& sources, const std::vector<HourLight>& hours,
                                const std::vector<std::size_t>& rows, const ExposeOptions& options,
                                Exposure& result) {
    const std::size_t blocks = (hours.size() + lanes - 1) / lanes;
    const std::size_t runs = std::min(blocks, most_runs);
    std::vector<RunSums> sums(runs, RunSums(0, 0));
    for_each_task(options.threads, runs, [&](std::size_t run) {
        HourWriter writer(sources, options, result);
        for (std::size_t b = blocks * run / runs; b < blocks * (run + 1) / runs; ++b) {
            const std::size_t begin = b * lanes;
            const std::size_t count = std::min(lanes, hours.size() - begin);
            writer.write(std::span(hours).subspan(begin, count),
                         std::span(rows).subspan(begin, count));
        }
        sums[run] = writer.sums();
    });
    std::vector<double> arriving(result.n_bins * result.n_parts, 0.0);
    for (const RunSums& run : sums) {
        add_to(arriving, run.arriving_wh_m2);
        add_to(result.dome_by_bin_wh_m2, run.dome_wh_m2);
        add_to(result.horizon_by_bin_wh_m2, run.horizon_wh_m2);
        add_to(result.far_ground_by_bin_wh_m2, run.far_ground_wh_m2);
    }
    return arriving;
}

/// Light from other parts onto the surfaces of the building, as the hours have it: all ground light
/// less what comes from far ground.
double thrown_by_hours_wh(const Envelope& envelope, const ExchangeMatrix& exchange,
                          const Exposure& exposure) {
    double sum = 0;
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        for (std::size_t s = 0; s < exposure.n_surfaces; ++s) {
            const std::size_t i = exposure.at(hour, SurfaceId(s));
            sum +=
                envelope.surfaces[s].area_m2 * (exposure.bounced_w_m2[i] + exposure.ground_w_m2[i]);
        }
    }
    double far_ground = 0;
    for (const double by_bin : exposure.far_ground_by_bin_wh_m2) far_ground += by_bin;
    const std::uint32_t first_ground = exchange.parts.surface_begin[exposure.n_surfaces];
    for (std::uint32_t p = 0; p < first_ground; ++p) {
        sum -= exchange.parts.area_m2[p] * exchange.part_net.ground_share[p] * far_ground;
    }
    return sum;
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
    const std::vector<double> of_part = part_reflectance(exchange.parts, reflectance);
    const BounceSolver solver(exchange.part_net, of_part, {.tolerance = bounce_tolerance});
    const std::vector<double> shares = shares_of_surfaces(envelope, exchange.parts);
    // Paths take a solution for each surface twice over; a few hours are sooner solved one by one.
    std::optional<BouncePaths> paths;
    if (lit.hours.size() > 2 * result.n_surfaces) {
        paths.emplace(exchange.part_net, exchange.parts, solver, of_part, shares, result.n_surfaces,
                      BouncePathOptions{.threads = options.threads});
    }
    const Sources sources{.sunlight = sunlight,
                          .exchange = exchange,
                          .solver = solver,
                          .paths = paths ? &*paths : nullptr,
                          .far_albedo = options.far_ground_albedo < 0 ? site.ground_albedo
                                                                      : options.far_ground_albedo,
                          .share_of_surface = shares,
                          .no_sun = std::vector<float>(exchange.parts.size(), 0.0F)};
    const std::vector<double> arriving =
        write_hours(sources, lit.hours, rows_of(lit.hours, sunlight), options, result);
    BinSolver bins(exchange, solver, result);
    bins.solve(arriving);
    if (bins.arriving_wh() > 0) {
        const double gap_wh =
            std::abs(bins.thrown_wh() - thrown_by_hours_wh(envelope, exchange, result));
        result.solar_residual = std::max(result.solar_residual, gap_wh / bins.arriving_wh());
    }
    double open_ground_wh_m2 = 0;
    for (const HourLight& light : lit.hours) open_ground_wh_m2 += light.global_w_m2;
    result.sunlit_ground_share = sunlit_ground(exchange, result, open_ground_wh_m2);
    return result;
}

}  // namespace noonshell
