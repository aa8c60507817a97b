// Private to geometry/: directions of placements that point nowhere (ISO 10303-42, direction and
// axis2_placement_3d). The CAD kernel takes another axis in their place without a word.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace noonshell {

struct OddDirection {
    std::uint32_t direction = 0;
    std::uint32_t placement = 0;  ///< that goes by it
    std::string seen;             ///< its list as it stands in the file
};

/// Of the first placement in space one of whose axes is of length 0 or has not three numbers;
/// nothing where all are sound.
std::optional<OddDirection> odd_direction(std::string_view text);

}  // namespace noonshell
