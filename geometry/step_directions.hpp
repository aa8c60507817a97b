// Private to geometry/: directions of placements that point nowhere (ISO 10303-42, direction and
// axis2_placement_3d). The CAD kernel takes another axis in their place without a word.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace noonshell {

struct OddDirection {
    std::uint32_t direction = 0;
    std::uint32_t placement = 0;     ///< that goes by it
    std::size_t at = 0, length = 0;  ///< where the placement names it, in the text
};

/// Of placements in space those axes that are of length 0 or have not three numbers, in the order
/// of the text; none where all are sound.
std::vector<OddDirection> odd_directions(std::string_view text);

/// The text with "$" in place of those that `of` holds: axis and reference direction of an
/// axis2_placement_3d are optional, and the standard says what they are then.
std::string with_default_axes(std::string_view text, const std::vector<OddDirection>& of);

}  // namespace noonshell
