// What can cast a shadow, in parts that are quick to test as a whole.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

/// Everything that can cast a shadow, in convex bodies where possible and else in boxes around a
/// few triangles each.
class ShadeCasters {
  public:
    explicit ShadeCasters(const Envelope& envelope);

    struct Plane {
        Vec3 normal;
        double offset_m;  ///< normal . x of the points on it
    };
    struct Part {
        Vec3 low, high;                                  ///< bounding box
        std::uint32_t begin = 0, end = 0;                ///< range of triangles()
        std::uint32_t planes_begin = 0, planes_end = 0;  ///< range of planes(); none: not convex
    };

    std::span<const Part> parts() const { return parts_; }
    std::span<const std::array<Vec3, 3>> triangles_of(const Part& part) const {
        return std::span(triangles_).subspan(part.begin, part.end - part.begin);
    }
    std::span<const Plane> planes_of(const Part& part) const {
        return std::span(planes_).subspan(part.planes_begin, part.planes_end - part.planes_begin);
    }
    /// Bounds are widened and convex bodies are shrunk by this [m]: rounding cannot turn an answer.
    double margin_m() const { return margin_m_; }

  private:
    void add_boxes(std::span<std::array<Vec3, 3>> triangles);
    void add_part(std::span<const std::array<Vec3, 3>> triangles, std::span<const Plane> planes);

    std::vector<std::array<Vec3, 3>> triangles_;
    std::vector<Plane> planes_;
    std::vector<Part> parts_;
    double margin_m_ = 0;
};

}  // namespace noonshell
