// Error bars against what other points, other rays and a finer cut of ground and parts give, for
// roofs, walls and soffits apart.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "tests/benchmark/sun_case.hpp"
#include "tests/benchmark/sun_measures.hpp"

namespace noonshell::benchmark {

namespace {

constexpr double percent = 100;

enum class Facing : std::uint8_t { up, sideways, down };

Facing facing_of(const Vec3& normal) {
    constexpr double steep = 0.5;
    if (normal.z() > steep) return Facing::up;
    return normal.z() < -steep ? Facing::down : Facing::sideways;
}

constexpr std::array facing_names{"roofs", "walls", "soffits"};

struct Estimate {
    double value = 0, error = 0;
};

constexpr std::array part_names{"direct", "sky", "ground", "bounced", "total"};

std::array<Estimate, 5> estimates(const SurfaceSun& sun, std::size_t s) {
    return {Estimate{sun.direct_wh_m2[s], sun.direct_standard_error_wh_m2[s]},
            {sun.sky_wh_m2[s], sun.sky_standard_error_wh_m2[s]},
            {sun.ground_wh_m2[s], sun.ground_standard_error_wh_m2[s]},
            {sun.bounced_wh_m2[s], sun.bounced_standard_error_wh_m2[s]},
            {sun.total_wh_m2(SurfaceId(s)), sun.standard_error_wh_m2(SurfaceId(s))}};
}

/// How often a 95 % range holds the refined value.
struct RangeCount {
    std::size_t n = 0, held = 0;
    double squares = 0, signed_sum = 0, apart = 0, width = 0;

    /// Gaps below a 10^-5 of the surface's sun are no error to tell of.
    void add(const Estimate& found, double truth, double sun) {
        constexpr double deviations = 1.96, rounding = 1e-5;
        const double gap = found.value - truth;
        const double half_width = deviations * found.error + rounding * sun;
        ++n;
        held += std::abs(gap) <= half_width ? 1 : 0;
        squares += std::pow(deviations * gap / half_width, 2);
        signed_sum += deviations * gap / half_width;
        apart += std::abs(gap) / sun;
        width += half_width / sun;
    }
    void add(const RangeCount& other) {
        n += other.n;
        held += other.held;
    }
    double share() const { return static_cast<double>(held) / static_cast<double>(n); }
};

/// `limit` in percent, for a check.
Measured row(const char* name, const RangeCount& count, double limit) {
    return {std::string("95 % range holds, ") + name + ", %", percent * count.share(),
            Measured::Wanted::at_least, 95, limit};
}

SiteSunOptions refined_options(bool quick) {
    SiteSunOptions options;
    options.ground.cell_m = 0.5;
    options.ground.finest_cell_m = quick ? 0.125 : 0.0625;
    options.ground.most_cells = 400'000;
    options.points_per_facet = quick ? 16 : 64;
    options.rays_per_facet = quick ? 2048 : 4096;
    options.part_size_m = 1;
    options.least_part_size_m = quick ? 0.25 : 0.125;
    options.seed = 1'000'001;
    return options;
}

}  // namespace

std::vector<Measured> measure_coverage(const MeasureOptions& options) {
    const SunCase demo = demo_case(options.quick ? 73 : 12, options.quick ? 1.0 : 0.5);
    const std::uint32_t n_seeds = options.quick ? 6 : 24;
    const SiteSun truth = find(demo, refined_options(options.quick));
    std::array<std::array<RangeCount, part_names.size()>, facing_names.size()> counts;
    for (std::uint32_t seed = 0; seed < n_seeds; ++seed) {
        const SiteSun sun = find(demo, {.seed = seed});
        for (std::size_t s = 0; s < demo.building.surfaces.size(); ++s) {
            const auto found = estimates(sun.surfaces, s), wanted = estimates(truth.surfaces, s);
            const double total = wanted.back().value;
            if (total <= 0) continue;
            auto& own =
                counts[static_cast<std::size_t>(facing_of(demo.building.surfaces[s].normal))];
            for (std::size_t k = 0; k < own.size(); ++k) {
                if (wanted[k].value > 0) own[k].add(found[k], wanted[k].value, total);
            }
        }
    }
    std::vector<Measured> rows;
    std::printf("  of the sun of a surface:  gap   half width;  gap over error: rms, mean\n");
    for (std::size_t g = 0; g < counts.size(); ++g) {
        for (std::size_t k = 0; k < part_names.size(); ++k) {
            const RangeCount& count = counts[g][k];
            const auto n = static_cast<double>(count.n);
            std::printf("  %-7s %-8s %6.2f %% of %5zu  %.4f %%  %.4f %%  %6.2f  %6.2f\n",
                        facing_names[g], part_names[k], percent * count.share(), count.n,
                        percent * count.apart / n, percent * count.width / n,
                        std::sqrt(count.squares / n), count.signed_sum / n);
            if (g > 0) counts[0][k].add(count);
            if (k + 1 == part_names.size()) rows.push_back(row(facing_names[g], count, 90));
        }
    }
    // A soffit's bounced light errs alike for every seed: a few surfaces decide.
    constexpr std::array limits{95.0, 95.0, 90.0, 90.0, 95.0};
    for (std::size_t k = 0; k < part_names.size(); ++k) {
        rows.push_back(row(part_names[k], counts[0][k], limits[k]));
    }
    return rows;
}

std::vector<Measured> measure_preview(const MeasureOptions& options) {
    // The settings of `--fast` against the usual ones.
    const int days = options.quick ? 73 : 12;
    const SunCase usual = demo_case(days), coarse = preview_case(days);
    const SiteSun truth = find(usual, {});
    std::vector<double> bright, all;
    RangeCount ranges;
    for (std::uint32_t seed = 0; seed < 4; ++seed) {
        SiteSunOptions quick = preview_options();
        quick.seed = seed;
        const SiteSun sun = find(coarse, quick);
        double brightest = 0;
        for (std::size_t s = 0; s < usual.building.surfaces.size(); ++s) {
            brightest = std::max(brightest, truth.surfaces.total_wh_m2(SurfaceId(s)));
        }
        for (std::size_t s = 0; s < usual.building.surfaces.size(); ++s) {
            const Estimate found = estimates(sun.surfaces, s).back();
            const Estimate wanted = estimates(truth.surfaces, s).back();
            if (wanted.value <= 0) continue;
            const double apart = std::abs(found.value / wanted.value - 1);
            all.push_back(apart);
            if (wanted.value >= 0.1 * brightest) bright.push_back(apart);
            ranges.add({found.value, std::hypot(found.error, wanted.error)}, wanted.value,
                       wanted.value);
        }
    }
    const auto quantile = [](std::vector<double>& values, double share) {
        std::sort(values.begin(), values.end());
        return percent *
               values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
    };
    std::printf(
        "  preview: all surfaces median %.2f %%, 90 of 100 within %.2f %%, worst %.1f %%; "
        "bright ones %.2f %%, %.2f %%, %.1f %%\n",
        quantile(all, 0.5), quantile(all, 0.9), quantile(all, 1), quantile(bright, 0.5),
        quantile(bright, 0.9), quantile(bright, 1));
    return {row("preview", ranges, 90)};
}

}  // namespace noonshell::benchmark
