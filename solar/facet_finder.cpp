// FacetFinder of light_parts.hpp.
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "solar/facet_groups.hpp"
#include "solar/light_parts.hpp"
#include "solar/plane_extent.hpp"

namespace noonshell {

namespace {

/// Extents of a facet of the surface in its own plane.
Eigen::Vector2d extents_of_facet(const Envelope& envelope, std::size_t facet,
                                 const Tangents& axes) {
    Extent extent;
    const auto& begin = envelope.facets.triangle_begin;
    for (auto t = begin[facet]; t < begin[facet + 1]; ++t) {
        for (const Vec3& corner : envelope.facets.triangles_m[t]) {
            extent.include(in_plane(axes, corner));
        }
    }
    return extent.high - extent.low;
}

/// Typical extents of the facets of a surface in its own plane: where they are equal cells, those
/// of a cell that no outline cuts; where they are cells of several sizes, those of small ones.
Eigen::Vector2d typical_facet(const Envelope& envelope, const Surface& surface,
                              const Tangents& axes) {
    std::array<std::vector<double>, 2> sizes;
    for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        const Eigen::Vector2d size = extents_of_facet(envelope, f, axes);
        sizes[0].push_back(size.x());
        sizes[1].push_back(size.y());
    }
    const double share = surface.kind == SurfaceKind::ground ? 0.1 : 0.5;
    const auto typical = [share](std::vector<double>& values) {
        const auto place = values.begin() +
                           static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size()));
        std::nth_element(values.begin(), place, values.end());
        return std::max(1e-3, *place);
    };
    return {typical(sizes[0]), typical(sizes[1])};
}

/// Of the ground, whose cells are the same rectangle in several sizes: those of the smallest cell
/// that no outline cuts.
Eigen::Vector2d smallest_ground_cell(const Envelope& envelope, const Surface& surface,
                                     const Tangents& axes) {
    constexpr double rounding = 1e-3;
    Eigen::Vector2d largest(0, 0);
    for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        largest = largest.cwiseMax(extents_of_facet(envelope, f, axes));
    }
    Eigen::Vector2d smallest = largest;
    for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        const Eigen::Vector2d size = extents_of_facet(envelope, f, axes);
        const double halvings = std::log2(largest.x() / size.x());
        const bool is_cell = std::abs(halvings - std::round(halvings)) < rounding &&
                             std::abs(std::log2(largest.y() / size.y()) - halvings) < rounding &&
                             envelope.facets.area_m2[f] > (1 - rounding) * size.prod();
        if (is_cell) smallest = smallest.cwiseMin(size);
    }
    return smallest.cwiseMax(1e-3);
}

/// The edges of a facet that a raster has to tell from its neighbours.
Eigen::Vector2d least_facet(const Envelope& envelope, const Surface& surface,
                            const Tangents& axes) {
    constexpr double clearly_less = 0.75;
    Eigen::Vector2d typical = typical_facet(envelope, surface, axes);
    if (surface.kind != SurfaceKind::ground) return typical;
    const Eigen::Vector2d smallest = smallest_ground_cell(envelope, surface, axes);
    return smallest.x() < clearly_less * typical.x() ? smallest : typical;
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
    const Eigen::Vector2d facet = least_facet(envelope, surface, axes);
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
