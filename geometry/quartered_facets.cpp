#include "geometry/quartered_facets.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <limits>

#include "geometry/convex_polygon.hpp"
#include "geometry/diagnostics.hpp"
#include "geometry/facets.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

namespace {

using FacetCorners = std::array<Vec3, 3>;

/// Along the first edge of the first triangle that has area, which is a side of the facet's cell
/// where no outline cuts that.
PlaneFrame frame_of(const FacetArrays& facets, std::size_t facet) {
    PlaneFrame frame;
    frame.normal = facets.normal[facet];
    const FacetCorners& first = facets.triangles_m[facets.triangle_begin[facet]];
    frame.origin_m = first[0];
    const Vec3 edge = first[1] - first[0];
    frame.u = (edge - edge.dot(frame.normal) * frame.normal).normalized();
    frame.v = frame.normal.cross(frame.u);
    return frame;
}

std::array<PatchFacet, 4> quarters(const FacetArrays& facets, std::size_t facet,
                                   const PlaneFrame& frame) {
    std::vector<ConvexPolygon> pieces;
    Vec2 low = Vec2::Constant(std::numeric_limits<double>::infinity()), high = -low;
    for (auto t = facets.triangle_begin[facet]; t < facets.triangle_begin[facet + 1]; ++t) {
        ConvexPolygon piece;
        for (const Vec3& corner : facets.triangles_m[t]) {
            piece.push_back(frame.to_plane(corner));
            low = low.cwiseMin(piece.back());
            high = high.cwiseMax(piece.back());
        }
        pieces.push_back(std::move(piece));
    }
    const Vec2 middle = 0.5 * (low + high);
    std::array<PatchFacet, 4> result;
    const auto add = [&result](std::size_t quarter, ConvexPolygon piece) {
        if (piece.empty() || signed_area(piece) < least_piece_area_m2) return;
        result[quarter].pieces.push_back(std::move(piece));
    };
    for (const ConvexPolygon& piece : pieces) {
        const SplitPolygon sides = split(piece, middle, middle + Vec2::UnitY());
        const auto in_rows = [&](const ConvexPolygon& side, std::size_t column) {
            if (side.empty()) return;
            SplitPolygon rows = split(side, middle, middle + Vec2::UnitX());
            add(column, std::move(rows.right));
            add(2 + column, std::move(rows.left));
        };
        in_rows(sides.left, 0);
        in_rows(sides.right, 1);
    }
    for (PatchFacet& quarter : result) {
        quarter.covered = facets.covered[facet] != 0;
        join_pieces(quarter.pieces);
    }
    return result;
}

void copy_facet(const FacetArrays& from, std::size_t facet, FacetArrays& to) {
    if (to.triangle_begin.empty()) to.triangle_begin.push_back(0);
    to.centroid_m.push_back(from.centroid_m[facet]);
    to.normal.push_back(from.normal[facet]);
    to.area_m2.push_back(from.area_m2[facet]);
    to.face.push_back(from.face[facet]);
    to.body.push_back(from.body[facet]);
    to.surface.push_back(from.surface[facet]);
    to.covered.push_back(from.covered[facet]);
    for (auto t = from.triangle_begin[facet]; t < from.triangle_begin[facet + 1]; ++t) {
        to.triangles_m.push_back(from.triangles_m[t]);
    }
    to.triangle_begin.push_back(static_cast<std::uint32_t>(to.triangles_m.size()));
}

void append_quarters(const FacetArrays& from, std::size_t facet, FacetArrays& to) {
    Patch patch;
    patch.frame = frame_of(from, facet);
    patch.face = from.face[facet];
    patch.body = from.body[facet];
    for (const PatchFacet& quarter : quarters(from, facet, patch.frame)) {
        if (!quarter.pieces.empty()) append_facet(to, quarter, patch, from.surface[facet]);
    }
}

}  // namespace

QuarteredFacets with_quartered_facets(const Envelope& envelope,
                                      std::span<const std::uint8_t> chosen) {
    NOONSHELL_CHECK_EQ(chosen.size(), envelope.facets.size());
    QuarteredFacets result{envelope, {}};
    FacetArrays facets;
    for (Surface& surface : result.envelope.surfaces) {
        const std::size_t begin = surface.first_facet, end = begin + surface.n_facets;
        surface.first_facet = static_cast<std::uint32_t>(facets.size());
        for (std::size_t f = begin; f < end; ++f) {
            const std::size_t before = facets.size();
            if (chosen[f] != 0) append_quarters(envelope.facets, f, facets);
            if (facets.size() == before) copy_facet(envelope.facets, f, facets);
            result.cut_from.resize(facets.size(), FacetId(f));
        }
        surface.n_facets = static_cast<std::uint32_t>(facets.size()) - surface.first_facet;
    }
    result.envelope.facets = std::move(facets);
    return result;
}

void take_facets(Envelope& building, const Envelope& scenery) {
    NOONSHELL_CHECK_LE(building.surfaces.size(), scenery.surfaces.size());
    FacetArrays facets;
    for (std::size_t s = 0; s < building.surfaces.size(); ++s) {
        const Surface& from = scenery.surfaces[s];
        building.surfaces[s].first_facet = static_cast<std::uint32_t>(facets.size());
        building.surfaces[s].n_facets = from.n_facets;
        for (std::size_t f = 0; f < from.n_facets; ++f) {
            copy_facet(scenery.facets, from.first_facet + f, facets);
        }
    }
    building.facets = std::move(facets);
}

}  // namespace noonshell
