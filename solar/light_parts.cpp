#include "solar/light_parts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <span>
#include <string>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "solar/facet_groups.hpp"
#include "solar/parallel.hpp"
#include "solar/plane_extent.hpp"
#include "solar/ray_scene.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

namespace {

/// Which of `n` equal cells of [low, high] a coordinate lies in.
std::int64_t cell_of(double x, double low, double high, double n) {
    if (n <= 1) return 0;
    return static_cast<std::int64_t>(
        std::clamp(std::floor((x - low) / (high - low) * n), 0.0, n - 1));
}

/// Cells of [low, high] no longer than `size_m`.
double cells_across(double low, double high, double size_m) {
    constexpr double rounding = 1e-9;  // a whole number of cells must not gain one
    return std::max(1.0, std::ceil((high - low) / size_m - rounding));
}

using FacetList = std::vector<std::uint32_t>;
using Cell = std::array<std::int64_t, 2>;  // row, column

/// Cuts one surface; parts and blocks are numbered from 0.
class PartCutter {
  public:
    /// Writes the parts of the surface's own facets to `part_of_facet` (#facets).
    PartCutter(const Envelope& envelope, const RayScene* scene, const PartSizes& sizes,
               std::span<PartId> part_of_facet)
        : envelope_(envelope), scene_(scene), sizes_(sizes), part_of_facet_(part_of_facet) {}

    void cut(SurfaceId id) {
        surface_ = id;
        const Surface& surface = envelope_.surfaces[id.index()];
        if (surface.n_facets > 0) cut(surface);
    }

    const LightParts& parts() const { return parts_; }
    std::uint32_t n_blocks() const { return n_blocks_; }

  private:
    /// Cells of the part size, in blocks of some 16 facets where the cells hold fewer.
    void cut(const Surface& surface) {
        constexpr double facets_across_a_block = 4;
        axes_ = plane_axes(surface.normal);
        // Light on the ground changes where a shadow ends, and walls stand close to that.
        const double part_size_m =
            surface.kind == SurfaceKind::ground ? 0.5 * sizes_.part_m : sizes_.part_m;
        const double facet_m = std::sqrt(surface.area_m2 / surface.n_facets);
        const auto cells_in_block = static_cast<std::int64_t>(
            std::max(1.0, std::floor(facets_across_a_block * facet_m / part_size_m + 1e-6)));
        FacetList all;
        for (std::uint32_t f = surface.first_facet; f < surface.first_facet + surface.n_facets;
             ++f) {
            if (takes_light(envelope_, f)) all.push_back(f);
        }
        std::map<Cell, std::vector<FacetList>> blocks;
        for (auto& [cell, list] : cells(all, extent_of(envelope_, surface, axes_), part_size_m)) {
            blocks[{cell[0] / cells_in_block, cell[1] / cells_in_block}].push_back(list);
        }
        for (const auto& [block, lists] : blocks) {
            for (const FacetList& list : lists) add(list, part_size_m);
            ++n_blocks_;
        }
    }

    std::map<Cell, FacetList> cells(const FacetList& facets, const Extent& extent,
                                    double size_m) const {
        const double across = cells_across(extent.low.x(), extent.high.x(), size_m);
        const double up = cells_across(extent.low.y(), extent.high.y(), size_m);
        std::map<Cell, FacetList> lists;
        for (const std::uint32_t f : facets) {
            const Eigen::Vector2d p = in_plane(axes_, envelope_.facets.centroid_m[f]);
            lists[{cell_of(p.y(), extent.low.y(), extent.high.y(), up),
                   cell_of(p.x(), extent.low.x(), extent.high.x(), across)}]
                .push_back(f);
        }
        return lists;
    }

    void add(const FacetList& facets, double size_m) {
        if (is_to_be_split(facets, size_m)) {
            Extent middles;  // of the facets: half a facet inside the cell
            for (const std::uint32_t f : facets) {
                middles.include(in_plane(axes_, envelope_.facets.centroid_m[f]));
            }
            const double half_m = 0.5 * (middles.high - middles.low).maxCoeff();
            for (const auto& [cell, list] : cells(facets, middles, half_m)) {
                add(list, 0.5 * size_m);
            }
            return;
        }
        const PartId part(parts_.size());
        double area = 0;
        for (const std::uint32_t f : facets) {
            part_of_facet_[f] = part;
            area += envelope_.facets.area_m2[f];
        }
        parts_.area_m2.push_back(area);
        parts_.surface.push_back(surface_);
        parts_.block.push_back(n_blocks_);
    }

    bool is_to_be_split(const FacetList& facets, double size_m) const {
        constexpr double rounding_m = 1e-9;
        if (scene_ == nullptr || facets.size() < 2) return false;
        return is_wider_than_wanted(facets) ||
               (0.5 * size_m >= sizes_.least_m - rounding_m && has_near_neighbours(facets, size_m));
    }

    bool is_wider_than_wanted(const FacetList& facets) const {
        if (sizes_.wanted_m.empty()) return false;
        double area_m2 = 0, wanted_m = std::numeric_limits<double>::infinity();
        for (const std::uint32_t f : facets) {
            area_m2 += envelope_.facets.area_m2[f];
            wanted_m = std::min(wanted_m, sizes_.wanted_m[f]);
        }
        return std::sqrt(area_m2) > wider_than_wanted * wanted_m;
    }

    /// Whether a good part of what the facets see is nearer than the part is wide.
    bool has_near_neighbours(const FacetList& facets, double size_m) const {
        constexpr std::size_t looking = 4;
        constexpr std::uint32_t rays = 16;
        constexpr double share_that_counts = 0.1;
        std::vector<Vec3> origins, directions;
        for (std::size_t k = 0; k < looking; ++k) {
            const std::uint32_t f = facets[k * (facets.size() - 1) / (looking - 1)];
            const Vec3& normal = envelope_.facets.normal[f];
            const Tangents tangents = tangents_of(normal);
            const SobolBits shift = facet_shift(f, rays);
            for (std::uint32_t i = 0; i < rays; ++i) {
                const auto p = sobol_point(sobol_bits(i) ^ shift);
                origins.emplace_back(envelope_.facets.centroid_m[f] + ray_offset_m * normal);
                directions.push_back(cosine_direction(normal, tangents, p[0], p[1]));
            }
        }
        std::vector<RayHit> hits(origins.size());
        scene_->first_hits(origins, directions, hits);
        std::size_t near = 0;
        for (std::size_t i = 0; i < hits.size(); ++i) {
            const double drop_m = origins[i].z() - envelope_.ground_z_m;
            const double rise = directions[i].z();
            const double to_ground_m = rise < 0 ? drop_m / -rise : size_m;
            if (std::min(hits[i].distance_m, to_ground_m) < size_m) ++near;
        }
        return static_cast<double>(near) > share_that_counts * static_cast<double>(hits.size());
    }

    const Envelope& envelope_;
    const RayScene* scene_;
    const PartSizes& sizes_;
    std::span<PartId> part_of_facet_;
    LightParts parts_;
    std::uint32_t n_blocks_ = 0;
    SurfaceId surface_;
    Tangents axes_;
};

/// Appends the parts of one surface, whose facets bear numbers from 0 so far.
void append(const Envelope& envelope, SurfaceId id, const PartCutter& cutter, std::uint32_t block,
            LightParts& all) {
    const LightParts& own = cutter.parts();
    const Surface& surface = envelope.surfaces[id.index()];
    for (std::uint32_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        PartId& part = all.of_facet[f];
        if (part.valid()) part = PartId(part.index() + all.size());
    }
    for (const std::uint32_t b : own.block) all.block.push_back(block + b);
    all.surface.insert(all.surface.end(), own.surface.begin(), own.surface.end());
    all.area_m2.insert(all.area_m2.end(), own.area_m2.begin(), own.area_m2.end());
    all.surface_begin.push_back(static_cast<std::uint32_t>(all.size()));
}

LightParts cut_parts(const Envelope& envelope, const RayScene* scene, const PartSizes& sizes,
                     unsigned threads) {
    if (!(sizes.part_m >= 0.1)) {
        throw InputError({.file = {}, .line = {}, .column = {}, .entity = "part_size_m"},
                         "0.1 m or more", std::to_string(sizes.part_m));
    }
    LightParts parts;
    parts.of_facet.resize(envelope.facets.size());
    parts.surface_begin = {0};
    std::vector<PartCutter> cutters;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        cutters.emplace_back(envelope, scene, sizes, parts.of_facet);
    }
    for_each_task(threads, cutters.size(), [&](std::size_t s) { cutters[s].cut(SurfaceId(s)); });
    std::uint32_t block = 0;
    for (std::size_t s = 0; s < cutters.size(); ++s) {
        append(envelope, SurfaceId(s), cutters[s], block, parts);
        block += cutters[s].n_blocks();
        if (envelope.surfaces[s].kind != SurfaceKind::ground)
            parts.first_ground = static_cast<std::uint32_t>(parts.size());
    }
    return parts;
}

}  // namespace

LightParts light_parts(const Envelope& envelope, double part_size_m) {
    return cut_parts(envelope, nullptr, {.part_m = part_size_m}, 1);
}

LightParts light_parts(const Envelope& envelope, const RayScene& scene, const PartSizes& sizes,
                       unsigned threads) {
    if (!sizes.wanted_m.empty()) {
        NOONSHELL_CHECK_EQ(sizes.wanted_m.size(), envelope.facets.size());
    }
    return cut_parts(envelope, &scene, sizes, threads);
}

}  // namespace noonshell
