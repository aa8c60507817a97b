// Regions of a plane with any outline, holes included: joining, closing of gaps, cutting out.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/convex_polygon.hpp"

namespace noonshell {

/// A bounded region of a plane. Corners are held on a grid of `step_m`, on which the work of the
/// polygon library is exact.
class PlaneRegion {
  public:
    static constexpr double step_m = 1e-7;

    PlaneRegion() = default;

    /// Everything that any of the polygons covers; they may overlap.
    static PlaneRegion union_of(std::span<const ConvexPolygon> polygons);
    static PlaneRegion union_of(std::span<const PlaneRegion> regions);

    bool empty() const { return rings_.empty(); }
    double area_m2() const;
    double perimeter_m() const;  ///< borders of holes included

    /// The region with gaps and holes closed that are no wider than `gap_m`; its outer corners stay
    /// sharp.
    PlaneRegion closed(double gap_m) const;

    /// The region and all that lies within `distance_m` of it, corners kept sharp.
    PlaneRegion grown(double distance_m) const;

    PlaneRegion with(const PlaneRegion& other) const;
    PlaneRegion without(const PlaneRegion& other) const;
    PlaneRegion within(const PlaneRegion& other) const;

    /// The region with all holes filled.
    PlaneRegion filled() const;

    /// The holes, each as a region, the largest first.
    std::vector<PlaneRegion> holes() const;

    /// The parts that do not hang together, each with its holes, the largest first.
    std::vector<PlaneRegion> parts() const;

    bool contains(const Vec2& point_m) const;

    /// Its borders [m], counter-clockwise outside, clockwise about holes, in a fixed order.
    std::vector<std::vector<Vec2>> outlines_m() const;

    /// The region as disjoint convex polygons, in a fixed order.
    std::vector<ConvexPolygon> convex_pieces() const;

  private:
    using Corner = std::array<std::int64_t, 2>;
    using Ring = std::vector<Corner>;  ///< counter-clockwise outside, clockwise for a hole
    friend struct RegionRings;

    std::vector<Ring> rings_;
};

}  // namespace noonshell
