// Private to geometry/: planar faces bounded by straight edges. Such a face is a polygon with
// holes: its area, its share of a volume and its triangles are exact, and come many times faster
// than by the kernel's integrals and its mesher, which are made for any surface.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "geometry/vec3.hpp"

class TopoDS_Face;
class TopoDS_Shape;

namespace noonshell {

/// The corners of a planar face [m] as seen from outside: the outline runs counter-clockwise,
/// holes run clockwise.
struct FlatOutline {
    Vec3 normal = Vec3::Zero();            ///< outward
    std::vector<std::vector<Vec3>> rings;  ///< in the order of the file
    double area_m2 = 0;                    ///< outline less holes
};

/// The outline of `face`; nothing where its surface is no plane, an edge is not straight, the
/// corners stray from plane or edges by so much that the area could change by 1e-7 of itself, or
/// an edge bounds nothing.
std::optional<FlatOutline> flat_outline(const TopoDS_Face& face);

struct FlatTriangles {
    std::vector<Vec3> vertices_m;
    std::vector<std::array<std::uint32_t, 3>> triangles;  ///< counter-clockwise from outside
};

/// Cuts a polygon into triangles that use all its corners and no others; nothing where rings touch
/// or cross, a ring lies where it bounds nothing, or there are more corners than `most_corners`.
/// Ears are cut off, the one with the shortest cut first; a hole is first joined to the outline by
/// the shortest way that crosses no edge.
std::optional<FlatTriangles> cut_outline(const FlatOutline& outline);
inline constexpr std::size_t most_corners = 600;  ///< the work grows with the square

/// The volume [m3] inside closed faces, negative when they are inside out, by the divergence
/// theorem; nothing when a face is not flat.
std::optional<double> flat_volume(const TopoDS_Shape& shape);

}  // namespace noonshell
