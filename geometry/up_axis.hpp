// Which axis of a CAD file points up, and the turn that brings it to +Z.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string_view>

namespace noonshell {

enum class UpAxis { z, y, x, minus_z, minus_y, minus_x };

/// "z", "y", "x", "-z", "-y" or "-x" in small or capital letters, with or without "+"; nothing for
/// any other text.
std::optional<UpAxis> up_axis_from(std::string_view text);

/// The text that up_axis_from() takes, in small letters.
std::string_view name_of(UpAxis up);

/// The rotation that makes the given axis +Z. It keeps the right hand (determinant +1) and the x
/// axis where it can:
///
///     z  (x, y, z)        y  (x, -z, y)      x  (-z, y, x)
///    -z  (x, -y, -z)     -y  (x, z, -y)     -x  (z, y, -x)
///
/// With x up, x cannot stay; the y axis stays instead.
Eigen::Matrix3d turn_to_z_up(UpAxis up);

}  // namespace noonshell
