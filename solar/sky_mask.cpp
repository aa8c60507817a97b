#include "solar/sky_mask.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <sstream>
#include <string>

#include "geometry/angles.hpp"
#include "geometry/diagnostics.hpp"
#include "solar/facet_groups.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

namespace {

/// What ends this close to the ground plane ends at it [m].
constexpr double flush_m = 1e-3;

std::uint32_t cells_of(double whole_deg, double step_deg, const std::string& name) {
    const double n = whole_deg / step_deg;
    if (!(step_deg >= 0.1) || std::abs(n - std::round(n)) > 1e-9) {
        std::ostringstream expected, seen;
        expected << "a step of 0.1 or more that divides " << whole_deg << " degrees";
        seen << step_deg;
        throw InputError({.entity = name}, expected.str(), seen.str());
    }
    return static_cast<std::uint32_t>(std::lround(n));
}

/// A context body that ends at the ground plane is the ground; a surface there is still seen.
bool meets_ground_first(const Envelope& envelope, const Vec3& origin_m, const Vec3& direction,
                        const RayHit& hit) {
    if (direction.z() >= 0) return false;
    if (hit.triangle == RayHit::nothing) return true;
    const bool context = !envelope.triangle_surface[hit.triangle].valid();
    const double height_m = origin_m.z() + hit.distance_m * direction.z();
    return height_m <= envelope.ground_z_m + (context ? flush_m : -flush_m);
}

}  // namespace

double SkyMask::share(std::uint32_t a, std::uint32_t e) const {
    if (at(a, e) == behind) return 0;
    // Integral of normal . direction over the cell: the upright part of the normal gives
    // cos e sin e de da, its level part cos^2 e cos(a - a_n) de da.
    const double low = (elevation_deg(e) - 0.5 * elevation_step_deg) * degree;
    const double high = (elevation_deg(e) + 0.5 * elevation_step_deg) * degree;
    const double from = (azimuth_deg(a) - 0.5 * azimuth_step_deg - north_deg) * degree;
    const double to = (azimuth_deg(a) + 0.5 * azimuth_step_deg - north_deg) * degree;
    const double upright =
        0.5 * (std::pow(std::sin(high), 2) - std::pow(std::sin(low), 2)) * (to - from);
    const double level = 0.5 * (high - low) + 0.25 * (std::sin(2 * high) - std::sin(2 * low));
    const double along_x = std::cos(from) - std::cos(to);  // of sin a
    const double along_y = std::sin(to) - std::sin(from);  // of cos a
    return std::max(0.0,
                    normal.z() * upright + level * (normal.x() * along_x + normal.y() * along_y)) /
           std::numbers::pi;
}

double SkyMask::sky_share() const {
    double sum = 0;
    for (std::uint32_t e = 0; e < n_elevations; ++e) {
        for (std::uint32_t a = 0; a < n_azimuths; ++a) {
            if (at(a, e) == sky) sum += share(a, e);
        }
    }
    return sum;
}

SkyMask sky_mask(const Envelope& envelope, const RayScene& scene, const Site& site,
                 std::size_t facet, const SkyMaskOptions& options) {
    NOONSHELL_CHECK_EQ(takes_light(envelope, facet), true);
    SkyMask mask;
    mask.normal = envelope.facets.normal[facet];
    mask.point_m = FacetSampler(envelope.facets, facet).point(0.5, 0.5);
    mask.north_deg = site.north_deg;
    mask.azimuth_step_deg = options.azimuth_step_deg;
    mask.elevation_step_deg = options.elevation_step_deg;
    mask.n_azimuths = cells_of(360, options.azimuth_step_deg, "azimuth_step_deg");
    mask.n_elevations = 2 * cells_of(90, options.elevation_step_deg, "elevation_step_deg");
    mask.seen.assign(std::size_t{mask.n_azimuths} * mask.n_elevations, SkyMask::behind);
    const Vec3 eye = mask.point_m + ray_offset_m * mask.normal;
    std::vector<Vec3> directions;
    std::vector<std::size_t> cells;
    for (std::uint32_t e = 0; e < mask.n_elevations; ++e) {
        const double elevation = mask.elevation_deg(e) * degree;
        for (std::uint32_t a = 0; a < mask.n_azimuths; ++a) {
            const double azimuth = (mask.azimuth_deg(a) - site.north_deg) * degree;
            const Vec3 direction(std::sin(azimuth) * std::cos(elevation),
                                 std::cos(azimuth) * std::cos(elevation), std::sin(elevation));
            if (mask.normal.dot(direction) <= 0) continue;
            directions.push_back(direction);
            cells.push_back(std::size_t{e} * mask.n_azimuths + a);
        }
    }
    std::vector<RayHit> hits(directions.size());
    scene.first_hits(std::vector<Vec3>(directions.size(), eye), directions, hits);
    for (std::size_t i = 0; i < cells.size(); ++i) {
        std::uint32_t& seen = mask.seen[cells[i]];
        const auto e = static_cast<std::uint32_t>(cells[i] / mask.n_azimuths);
        const auto a = static_cast<std::uint32_t>(cells[i] % mask.n_azimuths);
        if (meets_ground_first(envelope, eye, directions[i], hits[i])) {
            seen = SkyMask::ground;
        } else if (hits[i].triangle != RayHit::nothing) {
            seen = hits[i].triangle;
        } else {
            const bool hidden =
                mask.elevation_deg(e) < site.horizon.elevation_deg(mask.azimuth_deg(a));
            seen = hidden ? SkyMask::hills : SkyMask::sky;
        }
    }
    return mask;
}

FacetId middle_facet(const Envelope& envelope, SurfaceId surface) {
    const Surface& of = envelope.surfaces[surface.index()];
    FacetId nearest;
    double least_m = std::numeric_limits<double>::infinity();
    for (std::size_t f = of.first_facet; f < of.first_facet + of.n_facets; ++f) {
        if (!takes_light(envelope, f)) continue;
        const double distance_m = (envelope.facets.centroid_m[f] - of.centroid_m).norm();
        if (distance_m >= least_m) continue;
        least_m = distance_m;
        nearest = FacetId(f);
    }
    return nearest;
}

}  // namespace noonshell
