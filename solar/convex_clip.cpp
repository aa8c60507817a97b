#include "solar/convex_clip.hpp"

#include <cstring>
#include <limits>

#include "solar/wide.hpp"

namespace noonshell {

namespace {

using Floats = float __attribute__((vector_size(clip_width * sizeof(float))));
using Masks = std::int32_t __attribute__((vector_size(clip_width * sizeof(std::int32_t))));

}  // namespace

NOONSHELL_WIDE ClipVerdict clip_rays(std::span<const ClipPlane> entering,
                                     std::span<const ClipPlane> leaving, bool first,
                                     ClipWays& ways) {
    constexpr float far = std::numeric_limits<float>::max();
    float* sure_ways = ways.sure_m.data();
    float* perhaps_ways = ways.perhaps_m.data();
    const std::size_t n = ways.sure_m.size();
    Masks not_sure{}, perhaps{}, doubt{};
    for (std::size_t i = 0; i < n; i += clip_width) {
        Floats enter_sure{}, enter_perhaps{};
        Floats leave_sure = enter_sure + far, leave_perhaps = leave_sure;
        for (const ClipPlane& plane : entering) {
            Floats t;
            std::memcpy(&t, plane.heights_m + i, sizeof t);
            t *= plane.per_speed;
            const Floats late = t + plane.slack_m, early = t - plane.slack_m;
            enter_sure = enter_sure > late ? enter_sure : late;
            enter_perhaps = enter_perhaps > early ? enter_perhaps : early;
        }
        for (const ClipPlane& plane : leaving) {
            Floats t;
            std::memcpy(&t, plane.heights_m + i, sizeof t);
            t *= plane.per_speed;
            const Floats late = t + plane.slack_m, early = t - plane.slack_m;
            leave_sure = leave_sure < early ? leave_sure : early;
            leave_perhaps = leave_perhaps < late ? leave_perhaps : late;
        }
        Floats way_sure = leave_sure - enter_sure, way_perhaps = leave_perhaps - enter_perhaps;
        if (!first) {
            Floats before;
            std::memcpy(&before, sure_ways + i, sizeof before);
            way_sure = way_sure > before ? way_sure : before;
            std::memcpy(&before, perhaps_ways + i, sizeof before);
            way_perhaps = way_perhaps > before ? way_perhaps : before;
        }
        std::memcpy(sure_ways + i, &way_sure, sizeof way_sure);
        std::memcpy(perhaps_ways + i, &way_perhaps, sizeof way_perhaps);
        const Masks open = way_sure <= 0.0F, maybe = way_perhaps >= 0.0F;
        not_sure |= open;
        perhaps |= maybe;
        doubt |= open & maybe;
    }
    ClipVerdict verdict{true, false, false};
    for (std::size_t k = 0; k < clip_width; ++k) {
        verdict.all_sure = verdict.all_sure && not_sure[k] == 0;
        verdict.any_perhaps = verdict.any_perhaps || perhaps[k] != 0;
        verdict.any_doubt = verdict.any_doubt || doubt[k] != 0;
    }
    return verdict;
}

NOONSHELL_WIDE void write_blocked(const ClipWays& ways, std::size_t count, std::uint8_t* blocked) {
    const float* way = ways.sure_m.data();
    for (std::size_t p = 0; p < count; ++p) blocked[p] = way[p] > 0.0F ? 1 : 0;
}

}  // namespace noonshell
