// Exact cutting of planar convex polygons: split by a line, intersection, difference, joining.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

namespace noonshell {

using Vec2 = Eigen::Vector2d;

/// Corners in metres, counter-clockwise; empty for nothing. Collinear corners are allowed.
using ConvexPolygon = std::vector<Vec2>;

/// Corners closer than this to a cutting line count as lying on it [m]: edges that a CAD model
/// means to be flush leave no slivers behind. No area is lost by it: both parts keep the same
/// corners.
inline constexpr double snap_distance_m = 1e-6;

/// Corners closer together than this are the same point, and corners that stand out of the line
/// between their neighbours by less do not bend it [m]. Above rounding, below the snap distance.
inline constexpr double corner_tolerance_m = 1e-9;

/// Area [m2]; negative for clockwise corners.
double signed_area(const ConvexPolygon& polygon);

/// Centroid of the area; the mean of the corners where there is no area.
Vec2 area_centroid(const ConvexPolygon& polygon);

/// The two sides of a directed line through `from` and `to`; empty where nothing lies on a side.
/// The new corners are the same numbers in both parts, so that their areas add up to the whole.
struct SplitPolygon {
    ConvexPolygon left;
    ConvexPolygon right;
};
SplitPolygon split(const ConvexPolygon& polygon, const Vec2& from, const Vec2& to);

/// A polygon cut by a convex cutter: what lies inside it, and convex pieces of what lies outside.
struct CutPolygon {
    ConvexPolygon inside;
    std::vector<ConvexPolygon> outside;
};
CutPolygon cut(const ConvexPolygon& polygon, const ConvexPolygon& cutter);

ConvexPolygon intersection(const ConvexPolygon& a, const ConvexPolygon& b);

/// Convex pieces of `a` without `b`, disjoint.
std::vector<ConvexPolygon> difference(const ConvexPolygon& a, const ConvexPolygon& b);

/// The union of two polygons that share one whole edge, where it is convex; nothing otherwise.
std::optional<ConvexPolygon> joined(const ConvexPolygon& a, const ConvexPolygon& b);

/// Joins pieces with `joined` until no two fit any more. Disjoint pieces stay apart.
void join_pieces(std::vector<ConvexPolygon>& pieces);

/// The same polygon without corners that lie on the line between their neighbours or on one of
/// them.
ConvexPolygon without_idle_corners(const ConvexPolygon& polygon);

}  // namespace noonshell
