#include "geometry/facets.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace noonshell {

namespace {

/// Equal steps along one axis of a patch's frame.
struct GridAxis {
    double low_m = 0;
    double step_m = 1;
    std::uint32_t n = 1;

    double line(std::uint32_t k) const { return low_m + step_m * k; }
    /// Cell of a coordinate; coordinates on a line belong to the cell below or above it.
    std::uint32_t cell(double coordinate_m) const {
        const double k = std::floor((coordinate_m - low_m) / step_m);
        return static_cast<std::uint32_t>(std::clamp(k, 0.0, static_cast<double>(n - 1)));
    }
};

GridAxis grid_axis(double low_m, double high_m, double facet_size_m) {
    // An extent of a whole number of cells must not gain one by rounding.
    const double n = std::max(1.0, std::ceil((high_m - low_m) / facet_size_m - 1e-9));
    return {low_m, (high_m - low_m) / n, static_cast<std::uint32_t>(n)};
}

struct Extent {
    double low = 0, high = 0;
};

Extent extent_of(const ConvexPolygon& polygon, Eigen::Index axis) {
    Extent extent{polygon.front()[axis], polygon.front()[axis]};
    for (const Vec2& corner : polygon) {
        extent.low = std::min(extent.low, corner[axis]);
        extent.high = std::max(extent.high, corner[axis]);
    }
    return extent;
}

GridAxis grid_axis(const Patch& patch, Eigen::Index axis, double facet_size_m) {
    Extent all = extent_of(patch.outline.front(), axis);
    for (const ConvexPolygon& polygon : patch.outline) {
        const Extent extent = extent_of(polygon, axis);
        all = {std::min(all.low, extent.low), std::max(all.high, extent.high)};
    }
    return grid_axis(all.low, all.high, facet_size_m);
}

struct Slice {
    std::uint32_t cell;
    ConvexPolygon polygon;
};

/// Cuts a polygon at the grid lines across one axis.
std::vector<Slice> slices(ConvexPolygon rest, const GridAxis& grid, Eigen::Index axis) {
    std::vector<Slice> result;
    const Extent extent = extent_of(rest, axis);
    std::uint32_t k = grid.cell(extent.low);
    for (; k + 1 < grid.n && grid.line(k + 1) < extent.high; ++k) {
        Vec2 from = Vec2::Zero(), to = Vec2::Zero();
        from[axis] = to[axis] = grid.line(k + 1);
        // The lower side of the line lies to its left.
        (axis == 0 ? to.y() : from.x()) = 1;
        SplitPolygon parts = split(rest, from, to);
        if (!parts.left.empty()) result.push_back({k, std::move(parts.left)});
        rest = std::move(parts.right);
        if (rest.empty()) return result;
    }
    result.push_back({k, std::move(rest)});
    return result;
}

struct CellPiece {
    std::uint64_t cell;  ///< row * #columns + column
    ConvexPolygon polygon;
};

std::vector<CellPiece> cell_pieces(const Patch& patch, double facet_size_m) {
    const GridAxis columns = grid_axis(patch, 0, facet_size_m);
    const GridAxis rows = grid_axis(patch, 1, facet_size_m);
    std::vector<CellPiece> pieces;
    for (const ConvexPolygon& polygon : patch.outline) {
        for (Slice& strip : slices(polygon, rows, 1)) {
            for (Slice& slice : slices(std::move(strip.polygon), columns, 0)) {
                if (signed_area(slice.polygon) < least_piece_area_m2) continue;
                const std::uint64_t cell =
                    static_cast<std::uint64_t>(strip.cell) * columns.n + slice.cell;
                pieces.push_back({cell, std::move(slice.polygon)});
            }
        }
    }
    std::stable_sort(pieces.begin(), pieces.end(),
                     [](const CellPiece& a, const CellPiece& b) { return a.cell < b.cell; });
    return pieces;
}

}  // namespace

double PatchFacet::area_m2() const {
    double area = 0;
    for (const ConvexPolygon& piece : pieces) area += signed_area(piece);
    return area;
}

Vec2 PatchFacet::centroid() const {
    double area = 0;
    Vec2 moment = Vec2::Zero();
    for (const ConvexPolygon& piece : pieces) {
        const double part = signed_area(piece);
        area += part;
        moment += part * area_centroid(piece);
    }
    return moment / area;
}

std::vector<PatchFacet> cut_into_facets(const Patch& patch, std::uint32_t patch_index,
                                        double facet_size_m) {
    std::vector<PatchFacet> facets;
    if (patch.outline.empty()) return facets;
    std::vector<CellPiece> pieces = cell_pieces(patch, facet_size_m);
    for (std::size_t first = 0; first < pieces.size();) {
        PatchFacet facet;
        facet.patch = patch_index;
        std::size_t k = first;
        for (; k < pieces.size() && pieces[k].cell == pieces[first].cell; ++k) {
            facet.pieces.push_back(std::move(pieces[k].polygon));
        }
        join_pieces(facet.pieces);
        facets.push_back(std::move(facet));
        first = k;
    }
    return facets;
}

void append_facet(FacetArrays& arrays, const PatchFacet& facet, const Patch& patch,
                  SurfaceId surface) {
    if (arrays.triangle_begin.empty()) arrays.triangle_begin.push_back(0);
    arrays.centroid_m.push_back(patch.frame.to_space(facet.centroid()));
    arrays.normal.push_back(patch.frame.normal);
    arrays.area_m2.push_back(facet.area_m2());
    arrays.face.push_back(patch.face);
    arrays.body.push_back(patch.body);
    arrays.surface.push_back(surface);
    arrays.covered.push_back(facet.covered ? 1 : 0);
    for (const ConvexPolygon& piece : facet.pieces) {
        for (std::size_t k = 1; k + 1 < piece.size(); ++k) {
            arrays.triangles_m.push_back({patch.frame.to_space(piece[0]),
                                          patch.frame.to_space(piece[k]),
                                          patch.frame.to_space(piece[k + 1])});
        }
    }
    arrays.triangle_begin.push_back(static_cast<std::uint32_t>(arrays.triangles_m.size()));
}

}  // namespace noonshell
