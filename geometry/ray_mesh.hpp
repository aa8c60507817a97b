// Rays against triangles in double precision, for questions of shape while a model is taken apart:
// what lies outside, what lies inside. The sun is traced elsewhere, by far faster means.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <vector>

#include "geometry/vec3.hpp"

namespace noonshell {

/// A tree of boxes over triangles. Queries are const and may run on several threads.
class RayMesh {
  public:
    struct Triangle {
        std::array<Vec3, 3> corners_m;
        bool of_solid = false;   ///< bounds matter, which lies behind it
        std::uint32_t body = 0;  ///< that it belongs to
    };

    explicit RayMesh(std::vector<Triangle> triangles);

    /// Whether anything lies on the ray between `from_m` and `to_m` along the unit `direction` [m].
    bool blocked(const Vec3& origin_m, const Vec3& direction, double from_m,
                 double to_m = std::numeric_limits<double>::infinity()) const;

    /// How far the ray runs before it meets anything, at most `most_m` [m].
    double free_way_m(const Vec3& origin_m, const Vec3& direction, double most_m) const;

    struct Crossing {
        double distance_m = 0;
        bool into_solid = false;  ///< matter begins here
        bool of_solid = false;    ///< matter begins or ends here
        std::uint32_t body = 0;
    };

    /// Where the ray crosses triangles, by distance; a crossing of an edge that two triangles share
    /// counts for both.
    std::vector<Crossing> crossings(const Vec3& origin_m, const Vec3& direction) const;

    std::size_t n_triangles() const { return triangles_.size(); }

  private:
    struct Node {
        Vec3 low_m, high_m;
        std::uint32_t begin = 0, end = 0;  ///< triangles of a leaf
        std::uint32_t second = 0;          ///< second child; the first follows its parent; 0: leaf
    };

    void build(std::uint32_t begin, std::uint32_t end);
    template <class Visit>
    void visit(const Vec3& origin_m, const Vec3& direction, double to_m, Visit&& at_triangle) const;

    std::vector<Triangle> triangles_;  ///< in the order of the leaves
    std::vector<Node> nodes_;
};

}  // namespace noonshell
