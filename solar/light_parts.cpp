#include "solar/light_parts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <span>
#include <string>
#include <utility>

#include "geometry/diagnostics.hpp"
#include "solar/facet_groups.hpp"
#include "solar/parallel.hpp"
#include "solar/ray_scene.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

namespace {

/// Axes in the plane of a surface: level across, then up the slope.
Tangents plane_axes(const Vec3& normal) {
    const Vec3 across(-normal.y(), normal.x(), 0);
    const Vec3 u = across.norm() < 1e-9 ? Vec3(Vec3::UnitX()) : Vec3(across.normalized());
    return {u, normal.cross(u)};
}

struct Extent {
    Eigen::Vector2d low = Eigen::Vector2d::Constant(1e300);
    Eigen::Vector2d high = Eigen::Vector2d::Constant(-1e300);

    void include(const Eigen::Vector2d& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
};

Eigen::Vector2d in_plane(const Tangents& axes, const Vec3& point_m) {
    return {axes.u.dot(point_m), axes.v.dot(point_m)};
}

Extent extent_of(const Envelope& envelope, const Surface& surface, const Tangents& axes) {
    Extent extent;
    const auto& begin = envelope.facets.triangle_begin;
    for (auto t = begin[surface.first_facet]; t < begin[surface.first_facet + surface.n_facets];
         ++t) {
        for (const Vec3& corner : envelope.facets.triangles_m[t]) {
            extent.include(in_plane(axes, corner));
        }
    }
    return extent;
}

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
    PartCutter(const Envelope& envelope, const RayScene* scene, double part_size_m,
               double least_size_m, std::span<PartId> part_of_facet)
        : envelope_(envelope),
          scene_(scene),
          part_size_m_(part_size_m),
          least_size_m_(least_size_m),
          part_of_facet_(part_of_facet) {}

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
            surface.kind == SurfaceKind::ground ? 0.5 * part_size_m_ : part_size_m_;
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
        return scene_ != nullptr && facets.size() > 1 &&
               0.5 * size_m >= least_size_m_ - rounding_m && has_near_neighbours(facets, size_m);
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
    double part_size_m_, least_size_m_;
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

LightParts cut_parts(const Envelope& envelope, const RayScene* scene, double part_size_m,
                     double least_size_m, unsigned threads) {
    if (!(part_size_m >= 0.1)) {
        throw InputError({.file = {}, .line = {}, .column = {}, .entity = "part_size_m"},
                         "0.1 m or more", std::to_string(part_size_m));
    }
    LightParts parts;
    parts.of_facet.resize(envelope.facets.size());
    parts.surface_begin = {0};
    std::vector<PartCutter> cutters;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        cutters.emplace_back(envelope, scene, part_size_m, least_size_m, parts.of_facet);
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

/// Typical extents of the facets of a surface in its own plane: where they are equal cells, those
/// of a cell that no outline cuts; where they are cells of several sizes, those of small ones.
Eigen::Vector2d typical_facet(const Envelope& envelope, const Surface& surface,
                              const Tangents& axes) {
    std::array<std::vector<double>, 2> sizes;
    const auto& begin = envelope.facets.triangle_begin;
    for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        Extent extent;
        for (auto t = begin[f]; t < begin[f + 1]; ++t) {
            for (const Vec3& corner : envelope.facets.triangles_m[t]) {
                extent.include(in_plane(axes, corner));
            }
        }
        sizes[0].push_back(extent.high.x() - extent.low.x());
        sizes[1].push_back(extent.high.y() - extent.low.y());
    }
    const double share = surface.kind == SurfaceKind::ground ? 0.1 : 0.5;
    const auto typical = [&](std::vector<double>& values) {
        const auto place = values.begin() +
                           static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size()));
        std::nth_element(values.begin(), place, values.end());
        return std::max(1e-3, *place);
    };
    return {typical(sizes[0]), typical(sizes[1])};
}

bool holds(const std::array<Eigen::Vector2d, 3>& triangle, const Eigen::Vector2d& p) {
    bool left = false, right = false;
    for (std::size_t k = 0; k < 3; ++k) {
        const Eigen::Vector2d &a = triangle[k], &b = triangle[(k + 1) % 3];
        const double side = (b - a).x() * (p - a).y() - (b - a).y() * (p - a).x();
        left = left || side > 0;
        right = right || side < 0;
    }
    return !(left && right);
}

}  // namespace

LightParts light_parts(const Envelope& envelope, double part_size_m) {
    return cut_parts(envelope, nullptr, part_size_m, part_size_m, 1);
}

LightParts light_parts(const Envelope& envelope, const RayScene& scene, double part_size_m,
                       double least_size_m, unsigned threads) {
    return cut_parts(envelope, &scene, part_size_m, least_size_m, threads);
}

FacetFinder::FacetFinder(const Envelope& envelope) {
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        rasters_.push_back(surface.n_facets > 0 ? make_raster(envelope, surface) : Raster{});
        if (surface.kind == SurfaceKind::ground) ground_.emplace_back(s);
    }
}

/// Cells of half the typical facet's edges, whole numbers of them over the surface; each takes the
/// facet at its middle that light can reach, and those without one (rims, outlines, next to a
/// contact) that of a neighbour.
FacetFinder::Raster FacetFinder::make_raster(const Envelope& envelope, const Surface& surface) {
    constexpr double most_cells = 4e6;
    const Tangents axes = plane_axes(surface.normal);
    const Extent extent = extent_of(envelope, surface, axes);
    const Eigen::Vector2d size = (extent.high - extent.low).cwiseMax(1e-6);
    const Eigen::Vector2d facet = typical_facet(envelope, surface, axes);
    Eigen::Vector2d cells = 2 * size.cwiseQuotient(facet).array().round().max(1.0).matrix();
    cells /= std::max(1.0, std::sqrt(cells.prod() / most_cells));
    Raster raster;
    raster.u = axes.u;
    raster.v = axes.v;
    raster.origin_m = extent.low.x() * axes.u + extent.low.y() * axes.v;
    raster.columns = static_cast<std::uint32_t>(std::clamp(cells.x(), 1.0, most_cells));
    raster.rows = static_cast<std::uint32_t>(std::clamp(cells.y(), 1.0, most_cells));
    raster.columns_per_m = raster.columns / size.x();
    raster.rows_per_m = raster.rows / size.y();
    raster.begin = facet_.size();
    facet_.resize(raster.begin + static_cast<std::size_t>(raster.columns) * raster.rows);
    drawn_.resize(facet_.size(), 0);
    for (std::uint32_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        if (takes_light(envelope, f)) draw(envelope, f, raster);
    }
    for (int ring = 0; ring < 2; ++ring) spread(raster);
    return raster;
}

void FacetFinder::draw(const Envelope& envelope, std::uint32_t facet, const Raster& raster) {
    const auto cell = [](double place, std::uint32_t n) {
        return static_cast<std::uint32_t>(
            std::clamp(std::floor(place), 0.0, static_cast<double>(n - 1)));
    };
    const Eigen::Vector2d per_m(raster.columns_per_m, raster.rows_per_m);
    const Tangents axes{raster.u, raster.v};
    const Eigen::Vector2d origin = in_plane(axes, raster.origin_m);
    const auto& begin = envelope.facets.triangle_begin;
    for (auto t = begin[facet]; t < begin[facet + 1]; ++t) {
        std::array<Eigen::Vector2d, 3> corners;
        Extent box;
        for (std::size_t k = 0; k < 3; ++k) {
            corners[k] =
                (in_plane(axes, envelope.facets.triangles_m[t][k]) - origin).cwiseProduct(per_m);
            box.include(corners[k]);
        }
        const std::uint32_t last_row = cell(box.high.y(), raster.rows);
        const std::uint32_t last_column = cell(box.high.x(), raster.columns);
        for (auto row = cell(box.low.y(), raster.rows); row <= last_row; ++row) {
            for (auto column = cell(box.low.x(), raster.columns); column <= last_column; ++column) {
                if (!holds(corners, {column + 0.5, row + 0.5})) continue;
                facet_[raster.at(row, column)] = FacetId(facet);
                drawn_[raster.at(row, column)] = 1;
            }
        }
    }
}

/// Gives each empty cell the facet of a neighbour: the first of the ring about it.
void FacetFinder::spread(const Raster& raster) {
    const std::vector<FacetId> before(facet_.begin() + static_cast<std::ptrdiff_t>(raster.begin),
                                      facet_.end());
    for (std::uint32_t row = 0; row < raster.rows; ++row) {
        for (std::uint32_t column = 0; column < raster.columns; ++column) {
            FacetId& at = facet_[raster.at(row, column)];
            for (std::uint32_t r = row == 0 ? 0 : row - 1; r <= row + 1 && !at.valid(); ++r) {
                for (std::uint32_t c = column == 0 ? 0 : column - 1; c <= column + 1; ++c) {
                    if (r >= raster.rows || c >= raster.columns || at.valid()) continue;
                    at = before[raster.at(r, c) - raster.begin];
                }
            }
        }
    }
}

FacetId FacetFinder::at(SurfaceId surface, const Vec3& point_m) const {
    const Raster& raster = rasters_[surface.index()];
    const Vec3 from = point_m - raster.origin_m;
    const double x = std::floor(from.dot(raster.u) * raster.columns_per_m);
    const double y = std::floor(from.dot(raster.v) * raster.rows_per_m);
    if (!(x >= -1 && y >= -1 && x <= raster.columns && y <= raster.rows)) return {};
    const auto column = static_cast<std::size_t>(std::clamp(x, 0.0, raster.columns - 1.0));
    const auto row = static_cast<std::size_t>(std::clamp(y, 0.0, raster.rows - 1.0));
    return facet_[raster.at(row, column)];
}

FacetId FacetFinder::on_ground(const Vec3& point_m) const {
    FacetId near;
    for (const SurfaceId surface : ground_) {
        const Raster& raster = rasters_[surface.index()];
        const Vec3 from = point_m - raster.origin_m;
        const double x = std::floor(from.x() * raster.columns_per_m);
        const double y = std::floor(from.y() * raster.rows_per_m);
        if (!(x >= 0 && y >= 0 && x < raster.columns && y < raster.rows)) continue;
        const std::size_t cell =
            raster.at(static_cast<std::size_t>(y), static_cast<std::size_t>(x));
        // A region beside this one may hold the point itself.
        if (is_drawn(cell)) return facet_[cell];
        if (!near.valid()) near = facet_[cell];
    }
    return near;
}

}  // namespace noonshell
