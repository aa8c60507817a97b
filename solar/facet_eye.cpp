#include "solar/facet_eye.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solar/horizon_profile.hpp"

namespace noonshell {

namespace {

/// What ends this close to the ground plane ends at it [m].
constexpr double eye_flush_m = 1e-3;

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

/// Rays of a stratum: those of one box of points_by_direction(), at least two.
std::uint32_t rays_in_stratum(std::uint32_t n_rays) {
    constexpr std::uint32_t boxes = 64;
    return std::max(2U, n_rays / boxes);
}

}  // namespace

FacetEye::FacetEye(const ViewedScene& viewed)
    : viewed_(viewed), band_z_(std::sin(viewed.options.horizon_band_deg * std::numbers::pi / 180)) {
    for (HalfCount* half : {&up_, &down_}) half->part.assign(viewed.parts.size(), 0);
    const std::size_t n_regions = viewed.options.ground_regions.size();
    region_rays_.assign(n_regions, 0);
    const std::size_t no_surfaces = 3 + n_regions;  // sky and hills, far ground, context
    rays_that_met_.assign(viewed.envelope.surfaces.size() + no_surfaces, 0);
    rays_of_stratum_that_met_ = rays_that_met_;
}

FacetView FacetEye::look(std::size_t facet, std::uint32_t n_rays) {
    shoot(facet, n_rays);
    count();
    const Vec3& normal = viewed_.envelope.facets.normal[facet];
    const double free_sky = 0.5 * (1 + normal.z()), free_ground = 0.5 * (1 - normal.z());
    // Rays are weighed so that each half holds its exact share of the hemisphere.
    const double up = up_.weight(free_sky), down = down_.weight(free_ground);
    FacetView view;
    view.sky = up_.rays > 0 ? up_.free * up : free_sky;
    view.sky_error = free_sky * share_error({up_.rays, up_.free}, &Stratum::up);
    // What is hidden by hills is left over of the upward half.
    std::uint32_t up_parts = 0;
    std::sort(seen_.begin(), seen_.end());
    for (const std::uint32_t p : seen_) {
        view.parts.emplace_back(p, up_.part[p] * up + down_.part[p] * down);
        up_parts += up_.part[p];
    }
    const std::uint32_t hills = up_.rays - up_.free - up_.context - up_parts;
    view.ground = down_.rays > 0 ? down_.free * down + hills * up : free_ground + hills * up;
    for (const std::uint32_t rays : region_rays_) view.region.push_back(rays * down);
    view.context = up_.context * up + down_.context * down;
    const double slope = normal.head<2>().norm();
    // Where no ray fell into the band, the whole sky stands for it.
    const bool in_band = band_rays_ > 0;
    const std::uint32_t n = in_band ? band_rays_ : up_.rays;
    const std::uint32_t free = in_band ? band_free_ : up_.free;
    view.horizon = n > 0 ? slope * free / n : slope;
    view.evenness = evenness();
    view.horizon_error = slope * share_error({n, free}, in_band ? &Stratum::band : &Stratum::up);
    return view;
}

/// Variance of what rays meet, summed over all that they may meet: that within the strata over that
/// of all rays together. Strata come one after the other.
double FacetEye::evenness() {
    const auto n_all = static_cast<double>(met_.size()), n = static_cast<double>(rays_in_stratum_);
    double within = 0, together = 0;
    for (std::size_t begin = 0; begin < met_.size(); begin += rays_in_stratum_) {
        double squares = 0;  // (c + 1)^2 = c^2 + 2 c + 1
        for (std::size_t i = begin; i < begin + rays_in_stratum_; ++i) {
            squares += 1 + 2 * rays_of_stratum_that_met_[met_[i]]++;
            together += 1 + 2 * rays_that_met_[met_[i]]++;
        }
        for (std::size_t i = begin; i < begin + rays_in_stratum_; ++i) {
            rays_of_stratum_that_met_[met_[i]] = 0;
        }
        within += n / (n - 1) * (n - squares / n);
    }
    for (const std::uint32_t what : met_) rays_that_met_[what] = 0;
    together = n_all - together / n_all;
    return together > 0 ? std::min(1.0, within / together) : 1.0;
}

/// Standard error of free / rays, a ratio of means over rays that are spread evenly over strata and
/// are taken as independent within each [cochran1977] sections 5.4 and 6.11.
double FacetEye::share_error(const ClearRays& all, ClearRays Stratum::*kind) const {
    if (all.rays == 0) return 0;
    const double ratio = static_cast<double>(all.free) / all.rays, n = rays_in_stratum_;
    double squares = 0;
    for (const Stratum& stratum : strata_) {
        const ClearRays& own = stratum.*kind;
        // Of the residuals 1 - ratio, -ratio and 0 of rays that are free, blocked, of neither kind.
        const double sum = own.free - ratio * own.rays;
        const double sum_of_squares = own.free * (1 - 2 * ratio) + ratio * ratio * own.rays;
        squares += n / (n - 1) * std::max(0.0, sum_of_squares - sum * sum / n);
    }
    return std::sqrt(squares) / all.rays;
}

void FacetEye::shoot(std::size_t facet, std::uint32_t n_rays) {
    if (order_of_rays_ != n_rays) {
        points_ = points_by_direction(n_rays);
        order_of_rays_ = n_rays;
        origins_.resize(n_rays);
        directions_.resize(n_rays);
        hits_.resize(n_rays);
        met_.resize(n_rays);
        rays_in_stratum_ = rays_in_stratum(n_rays);
    }
    const FacetArrays& facets = viewed_.envelope.facets;
    const Vec3& normal = facets.normal[facet];
    const FacetSampler sampler(facets, facet);
    const SobolBits shift = facet_shift(facet, n_rays, viewed_.options.seed);
    cosine_directions(normal, points_, shift, directions_);
    const Vec3 off = ray_offset_m * normal;
    constexpr double unit = 0x1p-32;
    for (std::uint32_t i = 0; i < n_rays; ++i) {
        const double u = unit * (points_[i][2] ^ shift[2]), v = unit * (points_[i][3] ^ shift[3]);
        origins_[i] = sampler.point(u, v) + off;
    }
    viewed_.scene.first_hits(origins_, directions_, hits_);
}

void FacetEye::count() {
    for (HalfCount* half : {&up_, &down_}) {
        for (const std::uint32_t p : seen_) half->part[p] = 0;
        half->rays = half->free = half->context = 0;
    }
    seen_.clear();
    std::fill(region_rays_.begin(), region_rays_.end(), 0);
    band_rays_ = band_free_ = 0;
    strata_.assign(origins_.size() / rays_in_stratum_, {});
    for (std::size_t i = 0; i < origins_.size(); ++i) count_ray(i);
}

void FacetEye::count_ray(std::size_t i) {
    const Vec3& direction = directions_[i];
    const bool rises = direction.z() > 0;
    HalfCount& half = rises ? up_ : down_;
    ++half.rays;
    const bool blocked = meets_body(i);
    met_[i] = static_cast<std::uint32_t>(viewed_.envelope.surfaces.size());  // the sky
    const bool hidden = rises && !blocked && behind_hills(direction);
    if (rises) {
        const std::uint32_t free = blocked || hidden ? 0 : 1;
        Stratum& stratum = strata_[i / rays_in_stratum_];
        ++stratum.up.rays;
        stratum.up.free += free;
        if (direction.z() < band_z_) {
            ++stratum.band.rays;
            stratum.band.free += free;
            ++band_rays_;
            band_free_ += free;
        }
    }
    if (blocked) {
        count_part(i, half, part_met(i));
    } else if (!rises) {
        end_on_ground(i);
    } else if (!hidden) {
        ++half.free;
    }
}

/// None where the ray comes to what has no part. A sheet drawn without thickness has parts of its
/// own on either side, or its back is no part of its front.
PartId FacetEye::part_met(std::size_t i) const {
    const Envelope& envelope = viewed_.envelope;
    const Vec3 point_m = origins_[i] + hits_[i].distance_m * directions_[i];
    SurfaceId side = envelope.triangle_surface[hits_[i].triangle];
    for (int sides = 0; sides < 2 && side.valid(); ++sides) {
        const FacetId facet = viewed_.finder.at(side, point_m);
        const bool front =
            facet.valid() && envelope.facets.normal[facet.index()].dot(directions_[i]) < 0;
        if (front) return viewed_.parts.of_facet[facet.index()];
        side = envelope.surfaces[side.index()].other_side;
    }
    return {};
}

/// What has no part of its own (context, backs, faces covered by a contact) throws nothing back.
void FacetEye::count_part(std::size_t i, HalfCount& half, PartId part) {
    if (!part.valid()) {
        met_[i] += 2;
        ++half.context;
        return;
    }
    const std::uint32_t p = part.value;
    met_[i] = viewed_.parts.surface[p].value;
    if (up_.part[p] + down_.part[p] == 0) seen_.push_back(p);
    ++half.part[p];
}

/// A ray that meets the ground plane: on a ground facet or beyond them all.
void FacetEye::end_on_ground(std::size_t i) {
    const double ground_z_m = viewed_.envelope.ground_z_m;
    const double drop = (ground_z_m + eye_flush_m - origins_[i].z()) / directions_[i].z();
    Vec3 spot = origins_[i] + std::max(0.0, drop) * directions_[i];
    spot.z() = ground_z_m + eye_flush_m;
    const FacetId facet = viewed_.finder.on_ground(spot);
    if (facet.valid()) {
        count_part(i, down_, viewed_.parts.of_facet[facet.index()]);
    } else {
        ++met_[i];
        ++down_.free;
        count_region(i, spot.head<2>());
    }
}

void FacetEye::count_region(std::size_t i, const Vec2& spot) {
    const std::vector<PlaneRegion>& regions = viewed_.options.ground_regions;
    for (std::size_t r = 0; r < regions.size(); ++r) {
        if (!regions[r].contains(spot)) continue;
        ++region_rays_[r];
        met_[i] += static_cast<std::uint32_t>(2 + r);  // after context
        return;
    }
}

/// Whether the ray meets a body before the ground plane. A context body that ends at the plane is
/// the ground; a surface there is still seen.
bool FacetEye::meets_body(std::size_t i) const {
    if (hits_[i].triangle == RayHit::nothing) return false;
    if (directions_[i].z() > 0) return true;
    const double height = origins_[i].z() + hits_[i].distance_m * directions_[i].z();
    const bool context = !viewed_.envelope.triangle_surface[hits_[i].triangle].valid();
    return height > viewed_.envelope.ground_z_m + (context ? eye_flush_m : -eye_flush_m);
}

bool FacetEye::behind_hills(const Vec3& direction) const {
    if (viewed_.options.hills == nullptr) return false;
    constexpr double degrees = 180 / std::numbers::pi;
    const double azimuth_deg =
        viewed_.options.north_deg + degrees * std::atan2(direction.x(), direction.y());
    return degrees * std::asin(direction.z()) < viewed_.options.hills->elevation_deg(azimuth_deg);
}

}  // namespace noonshell
