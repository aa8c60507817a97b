// What stands close before a surface: how much of it is covered by something else, and how near.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

class RayScene;

/// Farther off nothing counts as close by [m].
inline constexpr double close_by_m = 1.5;

/// Part of a surface with a shade or another unit before it.
struct CloseBy {
    struct Other {
        SurfaceId surface;
        double share = 0;  ///< of the part that is covered
    };
    double share = 0;             ///< of the area in the open, 0: nothing is close by
    double clearance_m = 0;       ///< mean distance along the normal of what is covered
    double covered_m2 = 0;        ///< of the surface
    std::vector<Other> others{};  ///< ascending
};

/// By one ray along the outward normal from the middle of each facet in the open: what it meets
/// within close_by_m counts where it belongs to a shade or a unit other than the surface's own and
/// faces it to within 30 degrees. `scene` is that of `building.blockers`. #surfaces.
std::vector<CloseBy> find_close_by(const Envelope& building, const RayScene& scene);

}  // namespace noonshell
