// The one door to the ray tracer.
#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <span>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// How far along the facet's normal rays start [m]. Far above single-precision rounding for a site
/// of some hundred metres (about 1e-5 m), far below any gap that matters (contacts are 60 mm).
inline constexpr double ray_offset_m = 1e-3;

/// First thing a ray meets.
struct RayHit {
    static constexpr std::uint32_t nothing = std::numeric_limits<std::uint32_t>::max();
    std::uint32_t triangle = nothing;  ///< index into the mesh given to the scene
    double distance_m = std::numeric_limits<double>::infinity();
};

/// Points as flat single-precision arrays, as the tracer wants them: relative to the centre of the
/// scene that made them (RayScene::origins), so that a model far from its zero point loses nothing.
struct RayOrigins {
    std::vector<float> x_m, y_m, z_m;
    std::size_t size() const { return x_m.size(); }
};

/// Immutable after construction; all queries are const and may run from several threads. Queries
/// leave the floating-point mode of the calling thread as they found it. The constructor throws
/// std::runtime_error when the tracer cannot be set up and InvariantError for a triangle that names
/// a vertex out of range or not finite.
class RayScene {
  public:
    explicit RayScene(const TriangleMesh& mesh);
    ~RayScene();
    RayScene(RayScene&&) noexcept;
    RayScene& operator=(RayScene&&) noexcept;

    /// Points in model axes as this scene's queries want them; the caller has already moved them
    /// off their facets by ray_offset_m.
    RayOrigins origins(std::span<const Vec3> points_m) const;

    /// blocked[i] = 1 when something stands between origins [begin + i] and the far sun, else 0.
    /// `direction` is a unit vector toward the sun. Fastest when neighbours in the array are
    /// neighbours in space and `begin` is a multiple of 8.
    void shadow(const RayOrigins& origins, std::size_t begin, std::size_t count,
                const Vec3& direction, std::uint8_t* blocked) const;

    /// First hits of rays with directions of their own (unit vectors), origins in model axes
    /// and already off their facets; all spans of equal size.
    void first_hits(std::span<const Vec3> origins_m, std::span<const Vec3> directions,
                    std::span<RayHit> hits) const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace noonshell
