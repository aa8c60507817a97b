// What a straight view shows of every part of a model: hidden parts are cut away exactly.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/plane_region.hpp"
#include "geometry/view_frame.hpp"

namespace noonshell {

/// A triangle of something that is drawn, by number. Both of its sides hide what lies behind.
struct ViewTriangle {
    std::array<Vec3, 3> corners_m;
    std::uint32_t item = 0;
};

/// Of two triangles in one plane, as far as this goes [m], the earlier one shows.
inline constexpr double same_plane_m = 1e-5;

/// The visible region of every item in the view's plane, #items. Each triangle loses what lies
/// nearer to the viewer: every other one is cut where the two planes cross, so that bodies that run
/// into each other, and triangles that overlap in a ring, come out right. Triangles seen edge-on
/// have no area. Items up to `n_items`; the same input gives the same regions.
std::vector<PlaneRegion> visible_parts(std::span<const ViewTriangle> triangles, std::size_t n_items,
                                       const ViewFrame& view);

}  // namespace noonshell
