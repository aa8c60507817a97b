#include "solar/light_parts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/facet_groups.hpp"
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

/// Which of the equal cells of [low, high] a coordinate lies in.
std::int64_t cell_of(double x, double low, double high, double size_m) {
    constexpr double rounding = 1e-9;  // a whole number of cells must not gain one
    const double n = std::max(1.0, std::ceil((high - low) / size_m - rounding));
    if (n <= 1) return 0;
    const double k = std::floor((x - low) / (high - low) * n);
    return static_cast<std::int64_t>(std::clamp(k, 0.0, n - 1));
}

void add_surface(const Envelope& envelope, std::size_t s, double part_size_m, LightParts& parts) {
    const Surface& surface = envelope.surfaces[s];
    const Tangents axes = plane_axes(surface.normal);
    const Extent extent = extent_of(envelope, surface, axes);
    std::map<std::array<std::int64_t, 2>, std::vector<std::uint32_t>> cells;
    for (std::uint32_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        if (!takes_light(envelope, f)) continue;
        const Eigen::Vector2d p = in_plane(axes, envelope.facets.centroid_m[f]);
        cells[{cell_of(p.y(), extent.low.y(), extent.high.y(), part_size_m),
               cell_of(p.x(), extent.low.x(), extent.high.x(), part_size_m)}]
            .push_back(f);
    }
    for (const auto& [cell, facets] : cells) {
        const PartId part(parts.size());
        double area = 0;
        for (const std::uint32_t f : facets) {
            parts.of_facet[f] = part;
            area += envelope.facets.area_m2[f];
        }
        parts.area_m2.push_back(area);
        parts.surface.emplace_back(s);
    }
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
    if (!(part_size_m >= 0.1)) {
        throw InputError({.file = {}, .line = {}, .column = {}, .entity = "part_size_m"},
                         "0.1 m or more", std::to_string(part_size_m));
    }
    LightParts parts;
    parts.of_facet.resize(envelope.facets.size());
    parts.surface_begin = {0};
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        if (envelope.surfaces[s].n_facets > 0) add_surface(envelope, s, part_size_m, parts);
        parts.surface_begin.push_back(static_cast<std::uint32_t>(parts.size()));
    }
    return parts;
}

FacetFinder::FacetFinder(const Envelope& envelope) {
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        rasters_.push_back(surface.n_facets > 0 ? make_raster(envelope, surface) : Raster{});
        if (surface.kind == SurfaceKind::ground) ground_.emplace_back(s);
    }
}

/// Cells of half the typical facet's edge; each takes the facet at its middle that light can reach,
/// and those without one (rims, outlines, next to a contact) that of a neighbour.
FacetFinder::Raster FacetFinder::make_raster(const Envelope& envelope, const Surface& surface) {
    constexpr double most_cells = 4e6;
    const Tangents axes = plane_axes(surface.normal);
    const Extent extent = extent_of(envelope, surface, axes);
    const Eigen::Vector2d size = extent.high - extent.low;
    Raster raster;
    raster.u = axes.u;
    raster.v = axes.v;
    raster.origin_m = extent.low.x() * axes.u + extent.low.y() * axes.v;
    raster.per_m = 2 / std::sqrt(std::max(1e-6, surface.area_m2 / surface.n_facets));
    const double wanted = (size.x() * raster.per_m + 1) * (size.y() * raster.per_m + 1);
    raster.per_m /= std::max(1.0, std::sqrt(wanted / most_cells));
    raster.columns = static_cast<std::uint32_t>(std::floor(size.x() * raster.per_m)) + 1;
    raster.rows = static_cast<std::uint32_t>(std::floor(size.y() * raster.per_m)) + 1;
    raster.begin = facet_.size();
    facet_.resize(raster.begin + static_cast<std::size_t>(raster.columns) * raster.rows);
    for (std::uint32_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        if (takes_light(envelope, f)) draw(envelope, f, raster);
    }
    for (int ring = 0; ring < 2; ++ring) spread(raster);
    return raster;
}

void FacetFinder::draw(const Envelope& envelope, std::uint32_t facet, const Raster& raster) {
    const auto cell = [&raster](double coordinate, std::uint32_t n) {
        return static_cast<std::uint32_t>(
            std::clamp(std::floor(coordinate * raster.per_m), 0.0, static_cast<double>(n - 1)));
    };
    const Tangents axes{raster.u, raster.v};
    const Eigen::Vector2d origin = in_plane(axes, raster.origin_m);
    const auto& begin = envelope.facets.triangle_begin;
    for (auto t = begin[facet]; t < begin[facet + 1]; ++t) {
        std::array<Eigen::Vector2d, 3> corners;
        Extent box;
        for (std::size_t k = 0; k < 3; ++k) {
            corners[k] = in_plane(axes, envelope.facets.triangles_m[t][k]) - origin;
            box.include(corners[k]);
        }
        const std::uint32_t last_row = cell(box.high.y(), raster.rows);
        const std::uint32_t last_column = cell(box.high.x(), raster.columns);
        for (auto row = cell(box.low.y(), raster.rows); row <= last_row; ++row) {
            for (auto column = cell(box.low.x(), raster.columns); column <= last_column; ++column) {
                const Eigen::Vector2d middle =
                    Eigen::Vector2d(column + 0.5, row + 0.5) / raster.per_m;
                if (holds(corners, middle)) facet_[raster.at(row, column)] = FacetId(facet);
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
    const double x = std::floor(from.dot(raster.u) * raster.per_m);
    const double y = std::floor(from.dot(raster.v) * raster.per_m);
    if (!(x >= -1 && y >= -1 && x <= raster.columns && y <= raster.rows)) return {};
    const auto column = static_cast<std::size_t>(std::clamp(x, 0.0, raster.columns - 1.0));
    const auto row = static_cast<std::size_t>(std::clamp(y, 0.0, raster.rows - 1.0));
    return facet_[raster.at(row, column)];
}

FacetId FacetFinder::on_ground(const Vec3& point_m) const {
    for (const SurfaceId surface : ground_) {
        const Raster& raster = rasters_[surface.index()];
        const Vec3 from = point_m - raster.origin_m;
        const double x = std::floor(from.x() * raster.per_m);
        const double y = std::floor(from.y() * raster.per_m);
        if (!(x >= 0 && y >= 0 && x < raster.columns && y < raster.rows)) continue;
        const FacetId found =
            facet_[raster.at(static_cast<std::size_t>(y), static_cast<std::size_t>(x))];
        if (found.valid()) return found;
    }
    return {};
}

}  // namespace noonshell
