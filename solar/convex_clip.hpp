// Rays of one direction from many points against one convex body: the innermost loop of the answers
// without rays, built for wide registers where the machine has them. The results do not depend on
// their width.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace noonshell {

/// Points are taken eight at a time; arrays below are padded to a multiple of this.
inline constexpr std::size_t clip_width = 8;

/// One plane of the body and the sun: the ray of a point at height h above it crosses it after
/// h * per_speed; the crossing may be off by `slack`.
struct ClipPlane {
    const float* heights_m = nullptr;  ///< #points, padded
    float per_speed = 0;
    float slack_m = 0;
};

/// Longest way of each point's ray within any body so far, positive where it hits: when bodies are
/// shrunk by their margin (sure) and when they are widened by it (perhaps). Both #points, padded.
struct ClipWays {
    std::vector<float> sure_m, perhaps_m;
};

struct ClipVerdict {
    bool all_sure = false;  ///< every point is surely blocked
    bool any_perhaps = false;
    bool any_doubt = false;  ///< some point is perhaps but not surely blocked
};

/// Clips rays by the planes that they enter through and leave through [cyrus1978]. With `first` the
/// ways start anew. The verdict is on all bodies so far.
ClipVerdict clip_rays(std::span<const ClipPlane> entering, std::span<const ClipPlane> leaving,
                      bool first, ClipWays& ways);

/// blocked[p] = 1 where the way is positive, for the first `count` points.
void write_blocked(const ClipWays& ways, std::size_t count, std::uint8_t* blocked);

}  // namespace noonshell
