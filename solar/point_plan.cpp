#include "solar/point_plan.hpp"

#include <algorithm>
#include <queue>
#include <utility>

#include "solar/facet_groups.hpp"

namespace noonshell {

namespace {

constexpr std::uint32_t growth = 4;
constexpr double variance_kept = 1.0 / 8;  // growth^-1.5
/// Tolerances of surfaces in deep shade are held against this part of their unshaded sun.
constexpr double least_sun = 0.2;

/// Sums of one surface from the pilot run [Wh] and [Wh2].
struct SurfaceSums {
    double direct = 0, unshaded = 0, variance = 0;
};

double facet_variance(const Envelope& envelope, const Sunlight& pilot, std::size_t f) {
    const double error = envelope.facets.area_m2[f] * pilot.direct_standard_error_wh_m2[f];
    return error * error;
}

SurfaceSums sum_surface(const Envelope& envelope, const Sunlight& pilot, const Surface& surface) {
    SurfaceSums sums;
    for (std::size_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        if (!takes_light(envelope, f)) continue;
        sums.direct += envelope.facets.area_m2[f] * pilot.direct_wh_m2[f];
        sums.unshaded += envelope.facets.area_m2[f] * pilot.unshaded_direct_wh_m2[f];
        sums.variance += facet_variance(envelope, pilot, f);
    }
    return sums;
}

}  // namespace

std::vector<std::uint32_t> even_points(const Envelope& envelope, const ExposureOptions& options) {
    std::vector<std::uint32_t> points(envelope.facets.size(), 0);
    for (std::size_t f = 0; f < points.size(); ++f) {
        if (takes_light(envelope, f)) points[f] = options.points_per_facet;
    }
    return points;
}

std::vector<std::uint32_t> plan_points(const Envelope& envelope, const Sunlight& pilot,
                                       const ExposureOptions& options) {
    std::vector<std::uint32_t> points = even_points(envelope, options);
    for (const Surface& surface : envelope.surfaces) {
        const bool around =
            surface.kind == SurfaceKind::context || surface.kind == SurfaceKind::ground;
        if (around) continue;  // its sun is not a result of its own
        SurfaceSums sums = sum_surface(envelope, pilot, surface);
        const double tolerated =
            options.surface_tolerance * std::max(sums.direct, least_sun * sums.unshaded);
        // Largest variance first; of equal ones the first facet.
        using Candidate = std::pair<double, std::int64_t>;
        std::priority_queue<Candidate> candidates;
        for (std::size_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            if (points[f] == 0) continue;
            candidates.emplace(facet_variance(envelope, pilot, f), -static_cast<std::int64_t>(f));
        }
        while (!candidates.empty() && sums.variance > tolerated * tolerated) {
            const auto [variance, key] = candidates.top();
            candidates.pop();
            auto& n = points[static_cast<std::size_t>(-key)];
            if (growth * n > options.most_points_per_facet) continue;
            n *= growth;
            sums.variance -= variance * (1 - variance_kept);
            candidates.emplace(variance * variance_kept, key);
        }
    }
    return points;
}

}  // namespace noonshell
