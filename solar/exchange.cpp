#include "solar/exchange.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

#include "solar/facet_groups.hpp"
#include "solar/parallel.hpp"
#include "solar/sampling.hpp"
#include "solar/surface_exchange.hpp"

namespace noonshell {

namespace {

constexpr std::size_t facets_in_a_task = 128;
/// What ends this close to the ground plane ends at it [m].
constexpr double flush_m = 1e-3;

using SurfaceShare = std::pair<std::uint32_t, double>;

void check_options(const ExchangeOptions& options) {
    const std::uint32_t rays = options.rays_per_facet;
    if (!std::has_single_bit(rays) || rays < 16 || rays > 65536) {
        throw InputError({.entity = "rays_per_facet"}, "a power of two from 16 to 65536",
                         std::to_string(rays));
    }
    if (!(options.horizon_band_deg >= 0 && options.horizon_band_deg <= 90)) {
        throw InputError({.entity = "horizon_band_deg"}, "0 to 90",
                         std::to_string(options.horizon_band_deg));
    }
}

/// What the rays of one facet met, apart for the half that goes up and the half that goes down.
struct HalfCount {
    std::uint32_t rays = 0, free = 0, context = 0;
    std::uint32_t under_sky = 0;         // of those free that end on open ground
    std::vector<std::uint32_t> surface;  // #surfaces
};

/// The points behind the rays in an order in which neighbours point alike, for the tracer takes
/// them in packets: by boxes of 1/8 of either direction coordinate. A digit shift moves such boxes
/// as a whole, so that one order serves every facet.
std::vector<SobolBits> points_by_direction(std::uint32_t n_rays) {
    std::vector<SobolBits> points;
    for (std::uint32_t i = 0; i < n_rays; ++i) points.push_back(sobol_bits(i));
    const auto box = [](const SobolBits& p) { return std::pair(p[1] >> 29, p[0] >> 29); };
    std::stable_sort(points.begin(), points.end(),
                     [&](const SobolBits& a, const SobolBits& b) { return box(a) < box(b); });
    return points;
}

/// Shoots the rays of one facet at a time; the buffers are reused.
class FacetEye {
  public:
    FacetEye(const Envelope& envelope, const RayScene& scene, const ExchangeOptions& options)
        : envelope_(envelope),
          scene_(scene),
          n_rays_(options.rays_per_facet),
          band_z_(std::sin(options.horizon_band_deg * std::numbers::pi / 180)),
          points_(points_by_direction(n_rays_)),
          origins_(n_rays_),
          directions_(n_rays_),
          hits_(n_rays_) {
        for (HalfCount* half : {&up_, &down_}) half->surface.assign(envelope.surfaces.size(), 0);
        for (const Vec3& v : envelope.blockers.vertices_m) {
            plan_low_ = plan_low_.cwiseMin(v);
            plan_high_ = plan_high_.cwiseMax(v);
        }
    }

    /// Writes the facet's own entries of the matrix and returns its surfaces, ascending.
    std::vector<SurfaceShare> look(std::size_t facet, ExchangeMatrix& matrix) {
        shoot(facet);
        count();
        const Vec3& normal = envelope_.facets.normal[facet];
        const double free_sky = 0.5 * (1 + normal.z()), free_ground = 0.5 * (1 - normal.z());
        // Rays are weighed so that each half holds its exact share of the hemisphere.
        const double up_weight = up_.rays > 0 ? free_sky / up_.rays : 0;
        const double down_weight = down_.rays > 0 ? free_ground / down_.rays : 0;
        matrix.sky_share[facet] = up_.rays > 0 ? up_.free * up_weight : free_sky;
        matrix.ground_share[facet] = down_.rays > 0 ? down_.free * down_weight : free_ground;
        matrix.ground_open_share[facet] =
            down_.rays > 0 ? down_.under_sky * down_weight : free_ground;
        matrix.context_share[facet] = up_.context * up_weight + down_.context * down_weight;
        matrix.horizon_share[facet] = visible_band() * normal.head<2>().norm();
        std::vector<SurfaceShare> row;
        std::sort(seen_.begin(), seen_.end());
        for (const std::uint32_t s : seen_) {
            row.emplace_back(s, up_.surface[s] * up_weight + down_.surface[s] * down_weight);
        }
        return row;
    }

  private:
    void shoot(std::size_t facet) {
        const FacetArrays& facets = envelope_.facets;
        const Vec3& normal = facets.normal[facet];
        const FacetSampler sampler(facets, facet);
        const Tangents tangents = tangents_of(normal);
        const SobolBits shift = facet_shift(facet, n_rays_);
        for (std::uint32_t i = 0; i < n_rays_; ++i) {
            const auto p = sobol_point(points_[i] ^ shift);
            directions_[i] = cosine_direction(normal, tangents, p[0], p[1]);
            origins_[i] = sampler.point(p[2], p[3]) + ray_offset_m * normal;
        }
        scene_.first_hits(origins_, directions_, hits_);
    }

    void count() {
        for (HalfCount* half : {&up_, &down_}) {
            for (const std::uint32_t s : seen_) half->surface[s] = 0;
            half->rays = half->free = half->context = half->under_sky = 0;
        }
        seen_.clear();
        band_rays_ = band_free_ = 0;
        for (std::uint32_t i = 0; i < n_rays_; ++i) {
            const double rise = directions_[i].z();
            HalfCount& half = rise > 0 ? up_ : down_;
            const bool blocked = meets_body(i);
            ++half.rays;
            if (!blocked) ++half.free;
            if (!blocked && rise < 0) look_up_from_ground(i);
            if (rise > 0 && rise < band_z_) {
                ++band_rays_;
                band_free_ += blocked ? 0 : 1;
            }
            if (blocked) count_body(half, envelope_.triangle_surface[hits_[i].triangle]);
        }
        count_open_ground();
    }

    /// Remembers the spot where a ray meets the ground plane.
    void look_up_from_ground(std::uint32_t i) {
        const double drop = (envelope_.ground_z_m + flush_m - origins_[i].z()) / directions_[i].z();
        Vec3 spot = origins_[i] + std::max(0.0, drop) * directions_[i];
        spot.z() = envelope_.ground_z_m + flush_m;
        if (!within_plan(spot)) {
            ++down_.under_sky;  // no body reaches out there
            return;
        }
        spots_.push_back(spot);
    }

    void count_open_ground() {
        spot_hits_.resize(spots_.size());
        upward_.assign(spots_.size(), Vec3::UnitZ());
        scene_.first_hits(spots_, upward_, spot_hits_);
        for (const RayHit& hit : spot_hits_) {
            if (hit.triangle == RayHit::nothing) ++down_.under_sky;
        }
        spots_.clear();
    }

    bool within_plan(const Vec3& spot) const {
        return (spot.head<2>().array() >= plan_low_.head<2>().array()).all() &&
               (spot.head<2>().array() <= plan_high_.head<2>().array()).all();
    }

    /// Whether the ray meets a body before the ground plane. A context body that ends at the
    /// plane is the ground; a surface there is still seen.
    bool meets_body(std::uint32_t i) const {
        if (hits_[i].triangle == RayHit::nothing) return false;
        if (directions_[i].z() > 0) return true;
        const double height = origins_[i].z() + hits_[i].distance_m * directions_[i].z();
        const bool context = !envelope_.triangle_surface[hits_[i].triangle].valid();
        return height > envelope_.ground_z_m + (context ? flush_m : -flush_m);
    }

    void count_body(HalfCount& half, SurfaceId surface) {
        if (!surface.valid()) {
            ++half.context;
            return;
        }
        const std::uint32_t s = surface.value;
        if (up_.surface[s] + down_.surface[s] == 0) seen_.push_back(s);
        ++half.surface[s];
    }

    /// Visible part of the band; where no ray fell into it, of the whole sky.
    double visible_band() const {
        if (band_rays_ > 0) return static_cast<double>(band_free_) / band_rays_;
        return up_.rays > 0 ? static_cast<double>(up_.free) / up_.rays : 1.0;
    }

    const Envelope& envelope_;
    const RayScene& scene_;
    std::uint32_t n_rays_;
    double band_z_;
    std::vector<SobolBits> points_;
    std::vector<Vec3> origins_, directions_;
    std::vector<RayHit> hits_;
    std::vector<Vec3> spots_, upward_;  // on the ground, of the facet in hand
    std::vector<RayHit> spot_hits_;
    Vec3 plan_low_ = Vec3::Constant(1e300), plan_high_ = Vec3::Constant(-1e300);  // of all bodies
    HalfCount up_, down_;
    std::uint32_t band_rays_ = 0, band_free_ = 0;
    std::vector<std::uint32_t> seen_;  // surfaces met by the facet in hand
};

void size_fields(const Envelope& envelope, ExchangeMatrix& matrix) {
    matrix.n_facets = envelope.facets.size();
    matrix.n_surfaces = envelope.surfaces.size();
    for (auto* field : {&matrix.sky_share, &matrix.horizon_share, &matrix.ground_share,
                        &matrix.ground_open_share, &matrix.context_share}) {
        field->assign(matrix.n_facets, 0.0);
    }
}

}  // namespace

ExchangeMatrix trace_exchange(const Envelope& envelope, const RayScene& scene,
                              const ExchangeOptions& options) {
    check_options(options);
    NOONSHELL_CHECK_EQ(envelope.triangle_surface.size(), envelope.blockers.triangles.size());
    ExchangeMatrix matrix;
    size_fields(envelope, matrix);
    std::vector<std::vector<SurfaceShare>> rows(matrix.n_facets);
    const std::size_t n_tasks = (matrix.n_facets + facets_in_a_task - 1) / facets_in_a_task;
    for_each_task(options.threads, n_tasks, [&](std::size_t task) {
        FacetEye eye(envelope, scene, options);
        const std::size_t begin = task * facets_in_a_task;
        const std::size_t end = std::min(begin + facets_in_a_task, matrix.n_facets);
        for (std::size_t f = begin; f < end; ++f) {
            if (takes_light(envelope, f)) {
                rows[f] = eye.look(f, matrix);
            } else if (envelope.facets.covered[f] == 0) {
                matrix.ground_share[f] = 1;
            }
        }
    });
    matrix.row_begin = {0};
    for (const auto& row : rows) {
        for (const auto& [surface, share] : row) {
            matrix.column.emplace_back(surface);
            matrix.share.push_back(share);
        }
        matrix.row_begin.push_back(static_cast<std::uint32_t>(matrix.share.size()));
    }
    fill_surface_exchange(envelope, matrix);
    return matrix;
}

}  // namespace noonshell
