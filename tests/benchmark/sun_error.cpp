#include <algorithm>
#include <cmath>
#include <cstdio>
#include <span>

#include "tests/benchmark/sun_case.hpp"
#include "tests/benchmark/sun_measures.hpp"

namespace noonshell::benchmark {

namespace {

using Wanted = Measured::Wanted;

constexpr double percent = 100;
/// Below this part of the brightest surface's sun an error is held against that part of it.
constexpr double dim = 0.02;

struct ErrorOverSurfaces {
    double mean = 0, worst = 0;  // relative
};

/// Of values by surface; surfaces that get nothing are left out.
ErrorOverSurfaces compare(std::span<const double> values, std::span<const double> truth) {
    const double brightest = *std::max_element(truth.begin(), truth.end());
    ErrorOverSurfaces error;
    std::size_t n = 0;
    for (std::size_t s = 0; s < truth.size(); ++s) {
        if (truth[s] <= 0 && values[s] <= 0) continue;
        const double held_against = std::max(truth[s], dim * brightest);
        const double apart = std::abs(values[s] - truth[s]) / held_against;
        error.worst = std::max(error.worst, apart);
        error.mean += apart;
        ++n;
    }
    if (n > 0) error.mean /= static_cast<double>(n);
    return error;
}

void print_error(const char* what, const ErrorOverSurfaces& error) {
    std::printf("  %-52s mean %.4f %%, worst %.4f %%\n", what, percent * error.mean,
                percent * error.worst);
    std::fflush(stdout);
}

std::vector<double> totals_of(const SiteSun& sun) {
    std::vector<double> totals;
    for (std::size_t s = 0; s < sun.surfaces.direct_wh_m2.size(); ++s) {
        totals.push_back(sun.surfaces.total_wh_m2(SurfaceId(s)));
    }
    return totals;
}

}  // namespace

std::vector<Measured> measure_brute_force(const MeasureOptions& options) {
    // A year is read from a grid of suns, whole groups are answered without rays.
    const SunCase demo = demo_case(1);
    ExposureOptions direct;
    direct.surface_tolerance = 0;  // no points are added: both have the same
    const Sunlight fast = trace(demo, direct);
    direct.early_answers = false;
    direct.every_sun = true;
    const Sunlight brute = trace(demo, direct);
    const auto by_surface = surface_direct(demo, brute);
    const ErrorOverSurfaces scheme = compare(surface_direct(demo, fast), by_surface);
    print_error("fast scheme against brute force, same points", scheme);
    std::printf("  %.1f %% of %llu answers by rays\n",
                percent * static_cast<double>(fast.rays) / static_cast<double>(fast.answers),
                static_cast<unsigned long long>(fast.answers));

    // Every few days, brute force at many points of another seed.
    const SunCase sparse = demo_case(options.quick ? 73 : 12);
    ExposureOptions many = direct_options(options.quick ? 64 : 256);
    many.early_answers = false;
    many.every_sun = true;
    many.seed = 1'000'001;
    const auto refined = surface_direct(sparse, trace(sparse, many));
    ExposureOptions usual;
    print_error("usual points against many points by brute force",
                compare(surface_direct(sparse, trace(sparse, usual)), refined));
    usual.surface_tolerance = 0;
    print_error("the same with 4 points on every facet",
                compare(surface_direct(sparse, trace(sparse, usual)), refined));
    return {{"fast against brute force, worst surface, %", percent * scheme.worst, Wanted::at_most,
             0.1, 0.1}};
}

std::vector<Measured> measure_parts(const MeasureOptions& options) {
    // Light is even within a part; no error bar knows of that.
    const SunCase demo = demo_case(options.quick ? 73 : 12);
    const std::vector<double> fine = totals_of(find(demo, {.part_size_m = 0.5}));
    const std::vector<double> usual = totals_of(find(demo, {}));
    const double brightest = *std::max_element(fine.begin(), fine.end());
    constexpr double bright = 0.1;
    double worst_unit = 0, worst = 0, sum = 0;
    std::size_t n = 0;
    for (std::size_t s = 0; s < fine.size(); ++s) {
        if (fine[s] < bright * brightest) continue;
        const double apart = std::abs(usual[s] / fine[s] - 1);
        worst = std::max(worst, apart);
        if (demo.building.surfaces[s].unit.valid()) worst_unit = std::max(worst_unit, apart);
        sum += apart;
        ++n;
    }
    std::printf("  size of light parts, all sun: mean %.3f %%, worst unit %.3f %%, worst %.3f %%\n",
                percent * sum / static_cast<double>(n), percent * worst_unit, percent * worst);
    return {{"size of light parts, worst unit surface, %", percent * worst_unit, Wanted::at_most,
             0.5, 0.6}};
}

std::vector<Measured> measure_sun_step(const MeasureOptions& options) {
    const int days = options.quick ? 73 : 1;
    const double facet_size_m = options.quick ? 1.0 : 0.5;
    const auto direct_at = [&](double step_s) {
        const SunCase demo = demo_case(days, facet_size_m, step_s);
        return surface_direct(demo, trace(demo, direct_options()));
    };
    const auto minute = direct_at(60);
    const ErrorOverSurfaces ten = compare(direct_at(600), minute);
    print_error("suns of 10 minutes against 1 minute", ten);
    print_error("suns of 30 minutes against 1 minute", compare(direct_at(1800), minute));
    return {{"10-minute suns, worst surface, %", percent * ten.worst, Wanted::at_most, 0.5, 1}};
}

}  // namespace noonshell::benchmark
