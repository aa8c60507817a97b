// A search tree over places and sizes of bodies and surfaces.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <nanoflann.hpp>
#include <utility>
#include <vector>

#include "geometry/vec3.hpp"

namespace noonshell {

/// A centre, three sizes of a body (of a surface: its normal, made a length) and one more size of a
/// surface, as one point [m].
inline constexpr int shape_dimensions = 7;
using ShapePoint = std::array<double, shape_dimensions>;

inline ShapePoint shape_point(const Vec3& centre_m, const Vec3& sizes_m, double more_m = 0) {
    return {centre_m.x(), centre_m.y(), centre_m.z(), sizes_m.x(),
            sizes_m.y(),  sizes_m.z(),  more_m};
}

/// Owns its points; entries are found by their index. Neither copied nor moved: the tree inside
/// refers to it.
class ShapeTree {
  public:
    using Found = std::vector<std::pair<std::uint32_t, double>>;  ///< index, squared distance

    explicit ShapeTree(std::vector<ShapePoint> points)
        : points_(std::move(points)),
          tree_(shape_dimensions, *this, nanoflann::KDTreeSingleIndexAdaptorParams()) {
        tree_.buildIndex();
    }
    ShapeTree(const ShapeTree&) = delete;
    ShapeTree& operator=(const ShapeTree&) = delete;

    /// Entries closer than `radius_m`, in no order.
    const Found& within(const ShapePoint& point, double radius_m) {
        found_.clear();
        if (!points_.empty()) {
            tree_.radiusSearch(point.data(), radius_m * radius_m, found_,
                               nanoflann::SearchParams(32, 0, false));
        }
        return found_;
    }

    std::size_t kdtree_get_point_count() const { return points_.size(); }
    double kdtree_get_pt(std::size_t k, std::size_t axis) const { return points_[k][axis]; }
    template <class Box>
    bool kdtree_get_bbox(Box&) const {
        return false;
    }

  private:
    std::vector<ShapePoint> points_;
    nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, ShapeTree>, ShapeTree,
                                        shape_dimensions, std::uint32_t>
        tree_;
    Found found_;
};

}  // namespace noonshell
