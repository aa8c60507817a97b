// Who takes the sun away: direct sun that each body keeps from each surface.
#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/light_parts.hpp"
#include "solar/ray_scene.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct ShadeSourceOptions {
    std::uint32_t points_per_part =
        16;  ///< see light_parts(); each stands for an equal area; 1..64
    /// An hour is asked at one point in so many, if the number of points is a multiple of it or
    /// less than it (then not every hour is asked at a part), else at all; 1..64.
    std::uint32_t takers_of_hour = 4;
    std::uint32_t seed = 0;  ///< another one gives other points of the same kind
    unsigned threads = 0;    ///< 0: all
};

/// One thing that stands between a surface and the sun.
struct ShadeSource {
    static constexpr std::uint32_t hills = std::numeric_limits<std::uint32_t>::max();
    std::uint32_t caster =
        hills;         ///< as the caller numbers them, or the hills of the horizon profile
    double wh_m2 = 0;  ///< direct sun kept off over the period, mean over the surface
};

/// What keeps direct sun off each surface of the building, the most first (ties by number);
/// #surfaces. `caster_of_triangle` numbers what each triangle of the scene counts for,
/// #blockers.triangles. Sampled: some points of every part; every hour is asked at some of
/// them (takers_of_hour), at one of its sun steps in turn; the
/// first thing on the way to the sun takes all. The sum over a surface is therefore its unshaded
/// less its direct sun within the sampling, both without its covered parts. Throws InputError for
/// points_per_part or takers_of_hour out of range.
std::vector<std::vector<ShadeSource>> shade_sources(
    const Envelope& envelope, const RayScene& scene, const SunPath& path, const Weather& weather,
    const LightParts& parts, std::span<const std::uint32_t> caster_of_triangle,
    const ShadeSourceOptions& options = {});

}  // namespace noonshell
