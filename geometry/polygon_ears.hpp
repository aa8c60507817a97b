// Private to geometry/: a plane polygon with holes cut into triangles by cutting off ears.
#pragma once

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

namespace noonshell {

/// Corners of an outline, counter-clockwise, and of holes, clockwise, in any order of the rings.
using PolygonRings = std::vector<std::vector<Eigen::Vector2d>>;

/// Triangles that use all corners and no others, counter-clockwise; the corners of all rings are
/// numbered through from 0. Nothing where the rings touch, cross or fold back on themselves, where
/// not exactly one of them runs counter-clockwise, or a hole lies outside.
///
/// Why the result needs no further check: triangles that all run counter-clockwise and whose
/// outlines add up to the rings cover each point as often as the rings wind round it; that is once
/// inside, when the rings do not cross.
std::optional<std::vector<std::array<std::uint32_t, 3>>> cut_into_triangles(
    const PolygonRings& rings);

}  // namespace noonshell
