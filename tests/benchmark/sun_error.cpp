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

/// How often a reported 95 % range holds the refined value, by kind of light.
class RangeCount {
  public:
    explicit RangeCount(const char* name) : name_(name) {}

    void add(std::span<const double> values, std::span<const double> errors,
             std::span<const double> truth) {
        constexpr double deviations = 1.96, rounding = 1e-9;
        for (std::size_t s = 0; s < truth.size(); ++s) {
            if (truth[s] <= 0) continue;
            const double apart = std::abs(values[s] - truth[s]);
            const double width = deviations * errors[s] + rounding * truth[s];
            ++n_;
            held_ += apart <= width ? 1 : 0;
            squares_ += errors[s] > 0 ? std::pow(apart / errors[s], 2) : 0;
            apart_ += apart / truth[s];
            width_ += width / truth[s];
        }
    }

    double share() const { return static_cast<double>(held_) / static_cast<double>(n_); }

    void print() const {
        const auto n = static_cast<double>(n_);
        std::printf(
            "  %-8s %6.2f %% of %zu ranges hold the refined value; mean gap %.4f %%, mean "
            "half width %.4f %%, gap over standard error %.2f (rms)\n",
            name_, percent * share(), n_, percent * apart_ / n, percent * width_ / n,
            std::sqrt(squares_ / n));
    }

    /// `limit` in percent, for a check.
    Measured row(double limit) const {
        return {std::string("95 % range holds, ") + name_ + ", %", percent * share(),
                Wanted::at_least, 95, limit};
    }

  private:
    const char* name_;
    std::size_t n_ = 0, held_ = 0;
    double squares_ = 0, apart_ = 0, width_ = 0;
};

struct Totals {
    std::vector<double> value, error;
};

Totals totals_of(const SiteSun& sun) {
    Totals totals;
    for (std::size_t s = 0; s < sun.surfaces.direct_wh_m2.size(); ++s) {
        totals.value.push_back(sun.surfaces.total_wh_m2(SurfaceId(s)));
        totals.error.push_back(sun.surfaces.standard_error_wh_m2(SurfaceId(s)));
    }
    return totals;
}

SiteSunOptions refined_options(bool quick) {
    SiteSunOptions options;
    options.points_per_facet = quick ? 64 : 256;
    options.rays_per_facet = quick ? 8192 : 32768;
    options.seed = 1'000'001;
    return options;
}

}  // namespace

std::vector<Measured> measure_brute_force(const MeasureOptions& options) {
    // Whole groups are answered without rays; the answers are meant to be the same ones.
    const SunCase demo = demo_case(options.quick ? 73 : 1);
    ExposureOptions direct;  // with more points where they are needed, as find_sun has it
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

std::vector<Measured> measure_coverage(const MeasureOptions& options) {
    const SunCase demo = demo_case(options.quick ? 73 : 12, options.quick ? 1.0 : 0.5);
    const std::uint32_t n_seeds = options.quick ? 6 : 24;
    const SiteSun truth = find(demo, refined_options(options.quick));
    const Totals total = totals_of(truth);
    RangeCount direct("direct"), sky("sky"), ground("ground"), bounced("bounced"), all("total");
    for (std::uint32_t seed = 0; seed < n_seeds; ++seed) {
        const SiteSun sun = find(demo, {.seed = seed});
        const SurfaceSun& s = sun.surfaces;
        const SurfaceSun& t = truth.surfaces;
        direct.add(s.direct_wh_m2, s.direct_standard_error_wh_m2, t.direct_wh_m2);
        sky.add(s.sky_wh_m2, s.sky_standard_error_wh_m2, t.sky_wh_m2);
        ground.add(s.ground_wh_m2, s.ground_standard_error_wh_m2, t.ground_wh_m2);
        bounced.add(s.bounced_wh_m2, s.bounced_standard_error_wh_m2, t.bounced_wh_m2);
        const Totals own = totals_of(sun);
        all.add(own.value, own.error, total.value);
    }
    for (const RangeCount* count : {&direct, &sky, &ground, &bounced, &all}) count->print();
    // A free wall's sky is exact and its range has no width, yet closing the net moves it a little;
    // a floor close above the ground takes on errors of the ground that its own rays do not show.
    return {direct.row(95), sky.row(70), ground.row(90), bounced.row(95), all.row(95)};
}

std::vector<Measured> measure_parts(const MeasureOptions& options) {
    // Light is even within a part; no error bar knows of that.
    const SunCase demo = demo_case(options.quick ? 73 : 12);
    const Totals fine = totals_of(find(demo, {.part_size_m = 0.5}));
    const Totals usual = totals_of(find(demo, {}));
    const double brightest = *std::max_element(fine.value.begin(), fine.value.end());
    constexpr double bright = 0.1;
    double worst_unit = 0, worst = 0, sum = 0;
    std::size_t n = 0;
    for (std::size_t s = 0; s < fine.value.size(); ++s) {
        if (fine.value[s] < bright * brightest) continue;
        const double apart = std::abs(usual.value[s] / fine.value[s] - 1);
        worst = std::max(worst, apart);
        if (demo.building.surfaces[s].unit.valid()) worst_unit = std::max(worst_unit, apart);
        sum += apart;
        ++n;
    }
    std::printf("  size of light parts, all sun: mean %.3f %%, worst unit %.3f %%, worst %.3f %%\n",
                percent * sum / static_cast<double>(n), percent * worst_unit, percent * worst);
    return {{"size of light parts, worst unit surface, %", percent * worst_unit, Wanted::at_most,
             0.5, 15}};
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
