#include <sys/resource.h>

#include <algorithm>
#include <cstdio>
#include <optional>

#include "solar/facet_groups.hpp"
#include "solar/surface_sun.hpp"
#include "tests/benchmark/bare_rays.hpp"
#include "tests/benchmark/sun_case.hpp"
#include "tests/benchmark/sun_measures.hpp"

namespace noonshell::benchmark {

namespace {

using Wanted = Measured::Wanted;

constexpr unsigned both_cores = 2;
constexpr std::uint32_t points_per_facet = 4;
/// The short check works on every so many days; bare loops for the year on every few suns.
constexpr int sparse_suns = 4, quick_days = 73;

double& keep_least(double& least, double value) {
    return least = least > 0 ? std::min(least, value) : value;
}

std::uint64_t rays_of_year(const SunCase& sun_case) {
    ExposureOptions every_sun = direct_options(points_per_facet);
    every_sun.every_sun = true;
    return trace(sun_case, every_sun).answers;
}

/// One whole year of direct rays through the bare tracer, from the rate on every few days.
struct BareYear {
    std::uint64_t rays = 0;
    BareResult sample;  // the fastest
    double time_s() const { return static_cast<double>(rays) / sample.rays_per_s(); }
};

void keep_fastest(BareResult& best, const BareResult& result) {
    if (best.time_s <= 0 || result.time_s < best.time_s) best = result;
}

std::vector<Vec3> every(std::span<const Vec3> suns, std::size_t stride) {
    std::vector<Vec3> some;
    for (std::size_t i = stride / 2; i < suns.size(); i += stride) some.push_back(suns[i]);
    return some;
}

/// Processor time of all threads so far: other work on the machine moves it less than the clock.
double processor_s() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    const auto seconds = [](const timeval& t) {
        return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
    };
    return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

double processor_seconds_of(const std::function<void()>& work) {
    const double before = processor_s();
    work();
    return processor_s() - before;
}

/// Times of the parts of find_sun, called one by one.
struct PartTimes {
    double ground_s = 0, exchange_s = 0, sunlight_s = 0, expose_s = 0, sums_s = 0;

    void keep_least_of(const PartTimes& other) {
        keep_least(ground_s, other.ground_s);
        keep_least(exchange_s, other.exchange_s);
        keep_least(sunlight_s, other.sunlight_s);
        keep_least(expose_s, other.expose_s);
        keep_least(sums_s, other.sums_s);
    }
};

PartTimes time_parts(const SunCase& c, unsigned threads) {
    PartTimes times;
    Envelope scenery;
    std::optional<RayScene> scene;
    times.ground_s = seconds_of([&] {
        scenery = with_ground(c.building, {});
        scene.emplace(c.building.blockers);
    });
    std::vector<double> reflectance = c.reflectance;
    reflectance.resize(scenery.surfaces.size(), c.site.ground_albedo);
    const auto bins = month_of_hour(c.site, c.weather);
    ExchangeMatrix exchange;
    times.exchange_s = seconds_of([&] {
        exchange =
            trace_exchange(scenery, *scene, {.north_deg = c.site.north_deg, .threads = threads});
    });
    Sunlight sunlight;
    times.sunlight_s = seconds_of([&] {
        sunlight = trace_sunlight(scenery, *scene, c.path, c.weather,
                                  {.bin_of_hour = bins, .threads = threads});
    });
    Exposure exposure;
    times.expose_s = seconds_of([&] {
        exposure = expose(scenery, c.site, c.weather, c.path, sunlight, exchange, reflectance,
                          {.bin_of_hour = bins, .threads = threads});
    });
    times.sums_s = seconds_of([&] {
        const FacetSun facets = facet_sun(scenery, sunlight, exchange, exposure);
        surface_sun(scenery, sunlight, exposure, facets);
    });
    return times;
}

void print_parts(const char* what, const PartTimes& t, double unit_s) {
    std::printf("  %-26s ground %.4f  exchange %.4f  sunlight %.4f  expose %.4f  sums %.4f\n", what,
                t.ground_s / unit_s, t.exchange_s / unit_s, t.sunlight_s / unit_s,
                t.expose_s / unit_s, t.sums_s / unit_s);
}

std::size_t n_sample_points(const Envelope& scenery) {
    std::size_t n = 0;
    for (std::size_t f = 0; f < scenery.facets.size(); ++f) {
        n += takes_light(scenery, f) ? points_per_facet : 0;
    }
    return n;
}

double peak_gib() {
    constexpr double kib_in_gib = 1024.0 * 1024.0;
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / kib_in_gib;
}

/// What one find_sun cost, by points of building and ground and by answers of the direct sun.
struct SiteCost {
    double time_s = 0, processor_s = 0;
    std::size_t points = 0;
    std::uint64_t answers = 0, rays = 0;

    double per_point() const { return time_s / static_cast<double>(points); }
    double processor_per_point() const { return processor_s / static_cast<double>(points); }
    double per_answer() const { return time_s / static_cast<double>(answers); }
};

SiteCost cost_of(const SunCase& sun_case, int repeat) {
    SiteCost cost;
    for (int i = 0; i < repeat; ++i) {
        SiteSun sun;
        const double busy_s = processor_seconds_of([&] {
            keep_least(cost.time_s,
                       seconds_of([&] { sun = find(sun_case, {.threads = both_cores}); }));
        });
        keep_least(cost.processor_s, busy_s);
        cost.points = n_sample_points(sun.scenery);
        cost.answers = sun.sunlight.answers;
        cost.rays = sun.sunlight.rays;
    }
    std::printf(
        "  %-24s %8zu points, %11llu answers, %4.1f %% by rays, %8.2f s, processor %8.2f s\n",
        sun_case.name.c_str(), cost.points, static_cast<unsigned long long>(cost.answers),
        100.0 * static_cast<double>(cost.rays) / static_cast<double>(cost.answers), cost.time_s,
        cost.processor_s);
    std::fflush(stdout);
    return cost;
}

}  // namespace

std::vector<Measured> measure_ray_rate(const MeasureOptions& options) {
    const SunCase demo = demo_case(options.quick ? quick_days : 1);
    const std::vector<Vec3> suns = lit_suns(demo);
    const BareRays robust(demo.building, points_per_facet, true);
    const BareRays fast(demo.building, points_per_facet, false);
    ExposureOptions brute = direct_options(points_per_facet);
    brute.early_answers = false;
    brute.every_sun = true;
    brute.threads = both_cores;
    BareResult best_robust, best_fast;
    double ours_s = 0, ours_busy_s = 0, bare_busy_s = 0;
    std::uint64_t rays = 0;
    for (int i = 0; i < options.repeat; ++i) {
        keep_least(bare_busy_s, processor_seconds_of([&] {
                       keep_fastest(best_robust, robust.shoot(suns, both_cores));
                   }));
        keep_least(ours_busy_s, processor_seconds_of([&] {
                       keep_least(ours_s, seconds_of([&] { rays = trace(demo, brute).rays; }));
                   }));
        keep_fastest(best_fast, fast.shoot(suns, both_cores));
    }
    const double rate = static_cast<double>(rays) / ours_s;
    std::printf(
        "  %zu points, %zu suns; bare robust %.1f, bare fast %.1f, ours %.1f million rays/s\n"
        "  the two bare modes differ in %lld of %llu rays; ours shot %llu\n",
        robust.n_points(), suns.size(), best_robust.rays_per_s() / 1e6,
        best_fast.rays_per_s() / 1e6, rate / 1e6,
        static_cast<long long>(best_fast.lit) - static_cast<long long>(best_robust.lit),
        static_cast<unsigned long long>(best_robust.rays), static_cast<unsigned long long>(rays));
    std::printf("  by the clock: %.3f\n", rate / best_robust.rays_per_s());
    return {{"shadow rays per processor second over bare", bare_busy_s / ours_busy_s,
             Wanted::at_least, 0.9, 0.6},
            {"same rays as bare (rays over rays)",
             static_cast<double>(rays) / static_cast<double>(best_robust.rays), Wanted::at_least, 1,
             1}};
}

std::vector<Measured> measure_year(const MeasureOptions& options) {
    const SunCase demo = demo_case(1);
    const std::size_t stride = options.quick ? quick_days : sparse_suns;
    const std::vector<Vec3> suns = every(lit_suns(demo), stride);
    const BareRays robust(demo.building, points_per_facet, true);
    BareYear bare{rays_of_year(demo), {}};
    double whole_s = 0, bare_busy_s = 0, whole_busy_s = 0, preview_s = 0, preview_busy_s = 0;
    const SunCase coarse = preview_case(1);
    SiteSunOptions quick = preview_options();
    quick.threads = both_cores;
    PartTimes parts;
    for (int i = 0; i < options.repeat; ++i) {
        keep_least(bare_busy_s, processor_seconds_of([&] {
                       keep_fastest(bare.sample, robust.shoot(suns, both_cores));
                   }));
        keep_least(whole_busy_s, processor_seconds_of([&] {
                       keep_least(whole_s,
                                  seconds_of([&] { find(demo, {.threads = both_cores}); }));
                   }));
        keep_least(preview_busy_s, processor_seconds_of([&] {
                       keep_least(preview_s, seconds_of([&] { find(coarse, quick); }));
                   }));
        const PartTimes times = time_parts(demo, both_cores);
        if (i == 0) parts = times;
        parts.keep_least_of(times);
    }
    std::printf("  bare year: %llu rays, %.2f s (from every %zu-th sun); find_sun %.2f s\n",
                static_cast<unsigned long long>(bare.rays), bare.time_s(), stride, whole_s);
    print_parts("parts over bare year:", parts, bare.time_s());
    const double bare_year_busy_s =
        bare_busy_s * static_cast<double>(bare.rays) / static_cast<double>(bare.sample.rays);
    std::printf("  preview: find_sun %.2f s, %.2f of the bare year's time\n", preview_s,
                preview_s / bare.time_s());
    return {
        {"sun of a year over bare direct rays", whole_s / bare.time_s(), Wanted::at_most, 0.35, 2},
        {"the same by processor time", whole_busy_s / bare_year_busy_s, Wanted::at_most, 0.35, 0.6},
        {"sun of a preview, by processor time", preview_busy_s / bare_year_busy_s, Wanted::at_most,
         0.1, 0.2}};
}

std::vector<Measured> measure_settlement(const MeasureOptions& options) {
    const int days = options.quick ? quick_days : 1;
    const double facet_size_m = options.quick ? 2 : 0.5;
    const SunCase demo = demo_case(days, facet_size_m);
    const SiteCost small = cost_of(demo, options.repeat);
    const double small_gib = peak_gib();
    const SunCase large_case = settlement_case(days, facet_size_m);
    std::printf("  %zu units, %zu surfaces, %zu facets, %zu triangles\n",
                large_case.building.units.size(), large_case.building.surfaces.size(),
                large_case.building.facets.size(), large_case.building.blockers.triangles.size());
    const SiteCost large = cost_of(large_case, options.quick ? options.repeat : 1);
    const double peak = peak_gib();
    const std::vector<Vec3> suns = every(lit_suns(large_case), options.quick ? 40 : 400);
    const BareResult bare_small = BareRays(demo.building, points_per_facet, true).shoot(suns, 2);
    const BareResult bare_large =
        BareRays(large_case.building, points_per_facet, true).shoot(suns, 2);
    std::printf(
        "  bare time per ray, settlement over demo: %.2f; ours per answer: %.2f\n"
        "  peak memory %.2f GiB, of the demo alone %.2f GiB\n",
        bare_small.rays_per_s() / bare_large.rays_per_s(), large.per_answer() / small.per_answer(),
        peak, small_gib);
    if (options.repeat > 1) {
        print_parts("settlement, s:", time_parts(large_case, both_cores), 1);
        print_parts("demo, s:", time_parts(demo, both_cores), 1);
    }
    return {{"time per point, settlement over demo", large.per_point() / small.per_point(),
             Wanted::at_most, 1.6, options.quick ? 4.0 : 2.0},
            {"peak memory of the settlement, GiB", peak, Wanted::at_most, 2, 2}};
}

std::vector<Measured> measure_threads(const MeasureOptions& options) {
    const SunCase demo = demo_case(options.quick ? quick_days : 1);
    const std::vector<Vec3> suns = every(lit_suns(demo_case(1)), options.quick ? 200 : 20);
    const BareRays robust(demo.building, points_per_facet, true);
    double whole_s[2] = {}, bare_s[2] = {};
    PartTimes parts[2];
    for (int i = 0; i < options.repeat; ++i) {
        for (const unsigned threads : {1u, 2u}) {
            const std::size_t k = threads - 1;
            keep_least(whole_s[k], seconds_of([&] { find(demo, {.threads = threads}); }));
            parts[k].keep_least_of(time_parts(demo, threads));
            keep_least(bare_s[k], robust.shoot(suns, threads).time_s);
        }
    }
    const auto &one = parts[0], &two = parts[1];
    std::printf(
        "  1 to 2 threads: bare %.2f, exchange %.2f, sunlight %.2f, expose %.2f, "
        "sums %.2f, ground %.2f\n",
        bare_s[0] / bare_s[1], one.exchange_s / two.exchange_s, one.sunlight_s / two.sunlight_s,
        one.expose_s / two.expose_s, one.sums_s / two.sums_s, one.ground_s / two.ground_s);
    print_parts("one thread, s:", one, 1);
    print_parts("two threads, s:", two, 1);
    // A busy machine may give two threads no more than one: the bare loop tells what there was.
    const double gain = whole_s[0] / whole_s[1], bare_gain = bare_s[0] / bare_s[1];
    return {{"1 to 2 threads", gain, Wanted::at_least, 1.8, 0.5},
            {"1 to 2 threads over the bare loop's", gain / bare_gain, Wanted::at_least, 0.9, 0.6}};
}

}  // namespace noonshell::benchmark
