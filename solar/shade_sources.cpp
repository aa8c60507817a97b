#include "solar/shade_sources.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "geometry/diagnostics.hpp"
#include "geometry/ground.hpp"
#include "solar/parallel.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

namespace {

/// The sun of one hour at one of its steps.
struct AskedSun {
    Vec3 direction;
    double beam_w_m2 = 0;  // normal to it, times the hours that it stands for
    bool hidden = false;   // behind hills
};

/// Hours with direct sun by turns: the points of one turn of each `takers` share them, and they
/// count that much more. In steps of the golden ratio, so that each turn has all hours of the day.
/// The turn chooses the step of the hour too. The same for the points of all parts.
std::vector<std::vector<AskedSun>> suns_by_turn(const SunPath& path, const Weather& weather,
                                                std::uint32_t turns, std::uint32_t takers) {
    std::vector<std::vector<AskedSun>> suns(turns);
    std::size_t i = 0;  // counts hours with direct sun
    for (std::size_t h = 0; h < path.n_hours(); ++h) {
        const std::uint32_t begin = path.hour_begin[h], n = path.hour_begin[h + 1] - begin;
        if (!(weather.direct_normal_w_m2[h] > 0) || n == 0) continue;
        const double golden = static_cast<double>(i) / std::numbers::phi;
        const auto taker = static_cast<std::uint32_t>((golden - std::floor(golden)) * takers);
        for (std::uint32_t turn = 0; turn < turns; ++turn) {
            if ((taker + turn) % takers != 0) continue;
            const auto step = begin + static_cast<std::uint32_t>((i + turn) % n);
            const double stands_for = takers * n * path.beam_share_of(step, n);
            suns[turn].push_back({path.direction[step], stands_for * weather.direct_normal_w_m2[h],
                                  path.is_hidden(step)});
        }
        ++i;
    }
    return suns;
}

struct EyePoint {
    Vec3 point_m, normal;
};

/// Points that stand for equal areas of a part. Steps of the golden ratio through the facets, laid
/// end to end by area, keep no time with the rows of facets.
std::vector<EyePoint> points_of(const Envelope& envelope, std::span<const std::uint32_t> facets,
                                std::uint32_t seed, std::uint32_t count, PartId part) {
    std::vector<double> passed_m2;
    for (const std::uint32_t f : facets) {
        passed_m2.push_back(envelope.facets.area_m2[f] +
                            (passed_m2.empty() ? 0 : passed_m2.back()));
    }
    std::vector<EyePoint> points;
    const SobolBits shift = facet_shift(part.index(), count, seed);
    const double start = sobol_point(shift)[2];
    for (std::uint32_t i = 0; i < count; ++i) {
        const double turn = start + i / std::numbers::phi;
        const double along_m2 = (turn - std::floor(turn)) * passed_m2.back();
        const auto at = std::upper_bound(passed_m2.begin(), passed_m2.end() - 1, along_m2);
        const std::uint32_t f = facets[static_cast<std::size_t>(at - passed_m2.begin())];
        const auto p = sobol_point(sobol_bits(i) ^ shift);
        const Vec3& normal = envelope.facets.normal[f];
        points.push_back(
            {FacetSampler(envelope.facets, f).point(p[0], p[1]) + ray_offset_m * normal, normal});
    }
    return points;
}

/// Direct sun taken from points [Wh/m2], by caster.
class PointAsker {
  public:
    PointAsker(const RayScene& scene, std::span<const std::uint32_t> caster_of_triangle)
        : scene_(scene), caster_of_triangle_(caster_of_triangle) {}

    void ask(const EyePoint& eye, std::span<const AskedSun> suns) {
        directions_.clear();
        beams_.clear();
        for (const AskedSun& sun : suns) {
            const double cosine = eye.normal.dot(sun.direction);
            if (cosine <= 0) continue;
            const double beam = sun.beam_w_m2 * cosine;
            if (sun.hidden) {
                taken_[ShadeSource::hills] += beam;
                continue;
            }
            directions_.push_back(sun.direction);
            beams_.push_back(beam);
        }
        origins_.assign(directions_.size(), eye.point_m);
        hits_.resize(directions_.size());
        scene_.first_hits(origins_, directions_, hits_);
        for (std::size_t i = 0; i < hits_.size(); ++i) {
            if (hits_[i].triangle == RayHit::nothing) continue;
            taken_[caster_of_triangle_[hits_[i].triangle]] += beams_[i];
        }
    }

    const std::map<std::uint32_t, double>& taken() const { return taken_; }

  private:
    const RayScene& scene_;
    std::span<const std::uint32_t> caster_of_triangle_;
    std::vector<Vec3> origins_, directions_;
    std::vector<double> beams_;
    std::vector<RayHit> hits_;
    std::map<std::uint32_t, double> taken_;
};

std::vector<ShadeSource> sorted(const std::map<std::uint32_t, double>& taken) {
    std::vector<ShadeSource> sources;
    for (const auto& [caster, wh_m2] : taken) sources.push_back({caster, wh_m2});
    std::stable_sort(sources.begin(), sources.end(),
                     [](const ShadeSource& a, const ShadeSource& b) { return a.wh_m2 > b.wh_m2; });
    return sources;
}

}  // namespace

std::vector<std::vector<ShadeSource>> shade_sources(
    const Envelope& envelope, const RayScene& scene, const SunPath& path, const Weather& weather,
    const LightParts& parts, std::span<const std::uint32_t> caster_of_triangle,
    const ShadeSourceOptions& options) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    NOONSHELL_CHECK_EQ(caster_of_triangle.size(), envelope.blockers.triangles.size());
    NOONSHELL_CHECK_EQ(parts.of_facet.size(), envelope.facets.size());
    if (options.points_per_part < 1 || options.points_per_part > 64) {
        throw InputError({.entity = "points_per_part"}, "1 to 64",
                         std::to_string(options.points_per_part));
    }
    if (options.takers_of_hour < 1 || options.takers_of_hour > 64) {
        throw InputError({.entity = "takers_of_hour"}, "1 to 64",
                         std::to_string(options.takers_of_hour));
    }
    // Places matter more than times: an hour need not be asked everywhere.
    const bool by_turns = options.points_per_part % options.takers_of_hour == 0 ||
                          options.points_per_part < options.takers_of_hour;
    const std::uint32_t takers = by_turns ? options.takers_of_hour : 1;
    const std::size_t n_surfaces = n_building_surfaces(envelope);
    const std::size_t n_parts = parts.surface_begin[n_surfaces];
    std::vector<std::vector<std::uint32_t>> facets(n_parts);
    for (std::uint32_t f = 0; f < parts.of_facet.size(); ++f) {
        const PartId part = parts.of_facet[f];
        if (part.valid() && part.index() < n_parts) facets[part.index()].push_back(f);
    }
    const auto suns = suns_by_turn(path, weather, options.points_per_part, takers);
    std::vector<std::map<std::uint32_t, double>> taken(n_parts);
    for_each_task(options.threads, n_parts, [&](std::size_t p) {
        const auto points =
            points_of(envelope, facets[p], options.seed, options.points_per_part, PartId(p));
        PointAsker asker(scene, caster_of_triangle);
        for (std::uint32_t i = 0; i < points.size(); ++i) asker.ask(points[i], suns[i]);
        for (const auto& [caster, wh_m2] : asker.taken()) {
            taken[p][caster] = wh_m2 / static_cast<double>(points.size());
        }
    });
    std::vector<std::vector<ShadeSource>> result;
    for (std::size_t s = 0; s < n_surfaces; ++s) {
        const Surface& surface = envelope.surfaces[s];
        double area_m2 = 0;
        for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            area_m2 += envelope.facets.area_m2[f];
        }
        std::map<std::uint32_t, double> sum;
        for (auto p = parts.surface_begin[s]; p < parts.surface_begin[s + 1]; ++p) {
            for (const auto& [caster, wh_m2] : taken[p]) {
                sum[caster] += wh_m2 * parts.area_m2[p] / area_m2;
            }
        }
        result.push_back(sorted(sum));
    }
    return result;
}

}  // namespace noonshell
