// Cutting patches into facets, the small pieces that sun and heat are computed on.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// Pieces smaller than this are dropped [m2]; they come from rounding where cuts nearly coincide.
inline constexpr double least_piece_area_m2 = 1e-10;

/// One facet of a patch: the pieces of one cell, in the patch's frame.
struct PatchFacet {
    std::uint32_t patch = 0;
    bool covered = false;
    std::vector<ConvexPolygon> pieces;  ///< disjoint

    double area_m2() const;
    Vec2 centroid() const;  ///< area-weighted
};

/// Lays a grid of equal cells over the patch's extent, aligned with its frame, cell edges no longer
/// than `facet_size_m`, and clips the patch by it. Facets by row, then column; cells that the patch
/// does not reach have none. `patch_index` is written on each facet.
std::vector<PatchFacet> cut_into_facets(const Patch& patch, std::uint32_t patch_index,
                                        double facet_size_m);

/// Appends a facet as triangles. `arrays.triangle_begin` starts with its leading 0 by itself.
void append_facet(FacetArrays& arrays, const PatchFacet& facet, const Patch& patch,
                  SurfaceId surface);

}  // namespace noonshell
