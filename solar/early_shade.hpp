// Answers about a group of points that are certain without a ray: nothing can stand between the
// group and the sun, or convex bodies alone decide and no point is close to the edge of a shadow.
// They are bounds, not estimates: where nothing can be shown the answer is `open` and rays decide.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/vec3.hpp"
#include "solar/convex_clip.hpp"
#include "solar/shade_casters.hpp"

namespace noonshell {

/// Suns in the form that the tests want; single precision is enough, for every bound has a margin.
struct SunVector {
    std::array<float, 3> direction{};
    std::array<float, 3> inverse{};  ///< 1 / direction, finite
    float slope = 0;                 ///< rise over run
    std::uint32_t sector = 0;        ///< of azimuth, in the model's axes
};

SunVector sun_vector(const Vec3& direction);

enum class GroupLight {
    lit,   ///< all points
    dark,  ///< all points
    each,  ///< settled point by point
    open   ///< not settled
};

/// The tests for one group of points; holds what lies in front of it, sorted by azimuth and then by
/// the height of sun that it can hide.
class EarlyShade {
  public:
    static constexpr std::uint32_t sectors = 64;

    explicit EarlyShade(const ShadeCasters& casters) : casters_(&casters) {}

    /// `points_m` already moved off their facets, all with the same `normal`.
    void set_group(std::span<const Vec3> points_m, const Vec3& normal);

    /// For a sun in front of the group (direction . normal > 0) and above the horizon. `blocked`
    /// (#points, 0 or 1) is written where the answer is `each`.
    GroupLight answer(const SunVector& sun, std::uint8_t* blocked);

  private:
    /// Directions t d that can meet a part lie in a box: the part less the group's own box.
    struct Obstacle {
        std::array<float, 3> low{}, high{};
        float steepest = 0;      ///< no sun with a greater slope can meet it
        std::uint32_t part = 0;  ///< of the casters
        std::uint32_t planes_begin = 0, planes_end = 0;  ///< range of planes_, once measured
        bool convex = false;
    };
    struct Plane {
        std::array<float, 3> normal;
        std::size_t heights_begin = 0;  ///< in heights_m_
        float lowest_m = 0, highest_m = 0;
    };
    /// What one body does to the group as a whole.
    enum class BodyShade { none, all, some, unsure };

    void add_obstacle(std::uint32_t part, const Vec3& low, const Vec3& high);
    void add_to_sectors(const Obstacle& obstacle);
    void measure_planes(Obstacle& obstacle);
    static bool touches(const Obstacle& obstacle, const SunVector& sun);
    BodyShade sort_planes(const Obstacle& obstacle, const SunVector& sun);

    const ShadeCasters* casters_;
    Vec3 low_, high_;  ///< bounding box of the points
    std::vector<Vec3> points_m_;
    std::vector<Obstacle> obstacles_;
    std::vector<Plane> planes_;     ///< of bodies that a sun came near: most never matter
    std::vector<float> heights_m_;  ///< of the points above each plane, padded with the last
    std::array<std::vector<std::uint32_t>, sectors> by_sector_;
    ClipWays ways_;
    std::vector<ClipPlane> entering_, leaving_;  ///< of the body in hand
};

}  // namespace noonshell
