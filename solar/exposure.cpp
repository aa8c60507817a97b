#include "solar/exposure.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "geometry/ground.hpp"
#include "solar/bin_solver.hpp"
#include "solar/bounce.hpp"
#include "solar/bounce_paths.hpp"
#include "solar/hour_writer.hpp"
#include "solar/parallel.hpp"

namespace noonshell {

namespace {

constexpr std::size_t hours_at_once = BounceSolver::lanes;
/// Hours are shared out in so many runs whatever the number of threads: each sums its own.
constexpr std::size_t most_runs = 16;
/// Of the largest light that leaves anything: far below what sampling leaves open.
constexpr double bounce_tolerance = 1e-7;

/// Row of the traced sunlight for every lit hour; none for those without a sun step.
std::vector<std::size_t> rows_of(const std::vector<HourLight>& hours, const Sunlight& sunlight) {
    std::vector<std::size_t> rows;
    std::size_t row = 0;
    for (const HourLight& light : hours) {
        rows.push_back(light.sun_up ? row : HourSources::no_row);
        if (!light.sun_up) continue;
        NOONSHELL_CHECK_LT(row, sunlight.sun_hours.size());
        NOONSHELL_CHECK_EQ(sunlight.sun_hours[row], light.hour);
        ++row;
    }
    NOONSHELL_CHECK_EQ(row, sunlight.sun_hours.size());
    return rows;
}

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

/// As if each surface were nothing but one of its parts.
std::vector<double> shares_of_chosen(const LightParts& parts,
                                     const std::vector<PartId>& part_of_surface) {
    std::vector<double> shares(parts.size(), 0.0);
    for (const PartId part : part_of_surface) {
        if (part.valid()) shares[part.index()] = 1;
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
                        const std::vector<HourLight>& lit, const ExchangeMatrix& exchange,
                        std::size_t bins) {
    Exposure result;
    result.n_hours = weather.size();
    const std::size_t rows = lit.size() + (lit.size() < result.n_hours ? 1 : 0);
    result.row_of_hour.assign(result.n_hours, static_cast<std::uint32_t>(lit.size()));
    for (std::uint32_t row = 0; row < lit.size(); ++row) result.row_of_hour[lit[row].hour] = row;
    result.n_surfaces = n_building_surfaces(envelope);
    result.n_parts = exchange.parts.size();
    result.n_bins = bins;
    for (auto* field :
         {&result.direct_w_m2, &result.sky_w_m2, &result.ground_w_m2, &result.bounced_w_m2}) {
        field->assign(rows * result.n_surfaces, 0.0);
    }
    result.leaving_by_bin_wh_m2.assign(bins * result.n_parts, 0.0);
    result.part_light_wh_m2.assign(result.n_parts, 0.0);
    for (auto* field : {&result.dome_by_bin_wh_m2, &result.horizon_by_bin_wh_m2,
                        &result.open_ground_by_bin_wh_m2}) {
        field->assign(bins, 0.0);
    }
    return result;
}

/// See Exposure::sunlit_ground_share: the lit part of the ground that the parts see, in the ground
/// share of their surface.
std::vector<double> sunlit_ground(const ExchangeMatrix& exchange, const Exposure& exposure,
                                  double open_ground_wh_m2) {
    const ExchangeNet& net = exchange.part_net;
    const std::uint32_t first_ground = exchange.parts.first_ground;
    const std::uint32_t end_of_building = exchange.parts.surface_begin[exposure.n_surfaces];
    std::vector<double> lit(exposure.n_surfaces, 0.0), all(exposure.n_surfaces, 0.0);
    for (std::uint32_t p = 0; p < end_of_building; ++p) {
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

/// Hours of one time of day after another: side by side, the same walls are without sun.
struct HourOrder {
    std::vector<HourLight> hours;
    std::vector<std::size_t> rows;

    HourOrder(const std::vector<HourLight>& lit, const std::vector<std::size_t>& row_of) {
        constexpr std::size_t day = 24;
        for (std::size_t time = 0; time < day; ++time) {
            for (std::size_t i = 0; i < lit.size(); ++i) {
                if (lit[i].hour % day != time) continue;
                hours.push_back(lit[i]);
                rows.push_back(row_of[i]);
            }
        }
    }
};

/// Writes the light of all hours; returns the sums of what arrives, [bin * #parts + part].
std::vector<double> write_hours(const HourSources& sources, const HourOrder& order,
                                unsigned threads, Exposure& result) {
    const std::vector<HourLight>& hours = order.hours;
    const std::vector<std::size_t>& rows = order.rows;
    EvenLight even;
    if (sources.paths != nullptr) {
        even = even_light(sources, result.n_surfaces);
    }
    const std::size_t blocks = (hours.size() + hours_at_once - 1) / hours_at_once;
    const std::size_t runs = std::min(blocks, most_runs);
    std::vector<RunSums> sums(runs, RunSums(0, 0));
    for_each_task(threads, runs, [&](std::size_t run) {
        HourWriter writer(sources, even, result);
        for (std::size_t b = blocks * run / runs; b < blocks * (run + 1) / runs; ++b) {
            const std::size_t begin = b * hours_at_once;
            const std::size_t count = std::min(hours_at_once, hours.size() - begin);
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
        add_to(result.open_ground_by_bin_wh_m2, run.open_ground_wh_m2);
    }
    return arriving;
}

}  // namespace

Exposure expose(const Envelope& envelope, const Site& site, const Weather& weather,
                const SunPath& path, const Sunlight& sunlight, const ExchangeMatrix& exchange,
                std::span<const double> reflectance, const ExposeOptions& options) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    NOONSHELL_CHECK_EQ(reflectance.size(), envelope.surfaces.size());
    NOONSHELL_CHECK_EQ(sunlight.n_parts, exchange.parts.size());
    LitHours lit = lit_hours(site, weather, path, options.sky);
    Exposure result =
        empty_exposure(envelope, weather, lit.hours, exchange, n_bins(options.bin_of_hour));
    result.reflectance.assign(reflectance.begin(), reflectance.end());
    result.warnings = std::move(lit.warnings);
    const std::vector<std::size_t> rows = rows_of(lit.hours, sunlight);
    const std::vector<double> of_part = part_reflectance(exchange.parts, reflectance);
    const BounceSolver solver(exchange.part_net, of_part, {.tolerance = bounce_tolerance});
    const std::vector<double> shares =
        options.part_of_surface.empty() ? shares_of_surfaces(envelope, exchange.parts)
                                        : shares_of_chosen(exchange.parts, options.part_of_surface);
    // Paths take a solution for each surface twice over; a few hours are sooner solved one by one.
    std::optional<BouncePaths> paths;
    if (lit.hours.size() > 2 * result.n_surfaces) {
        paths.emplace(exchange.part_net, exchange.parts, solver, of_part, shares, result.n_surfaces,
                      BouncePathOptions{.threads = options.threads});
    }
    result.far_albedo = {site.ground_albedo, options.region_albedo};
    const std::vector<double> off_far_ground =
        light_off_far_ground(envelope, exchange, result.far_albedo);
    const HourSources sources{.sunlight = sunlight,
                              .exchange = exchange,
                              .solver = solver,
                              .paths = paths ? &*paths : nullptr,
                              .off_far_ground = off_far_ground,
                              .share_of_surface = shares,
                              .no_sun = std::vector<float>(exchange.parts.size(), 0.0F),
                              .bin_of_hour = options.bin_of_hour};
    const std::vector<double> arriving =
        write_hours(sources, HourOrder(lit.hours, rows), options.threads, result);
    solve_bins(sources, lit.hours, arriving, result);
    double open_ground_wh_m2 = 0;
    for (const HourLight& light : lit.hours) open_ground_wh_m2 += light.global_w_m2;
    result.sunlit_ground_share = sunlit_ground(exchange, result, open_ground_wh_m2);
    return result;
}

}  // namespace noonshell
