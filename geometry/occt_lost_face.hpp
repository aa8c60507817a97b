// Private to geometry/: a face of the file that the CAD kernel could not make.
#pragma once

#include <StepShape_Face.hxx>
#include <optional>

namespace noonshell {

/// Area of the face's outline as a polygon through its corners, holes taken off, in the square of
/// the file's length unit; nothing where the corners cannot be read or span no area (an outline of
/// one closed curve, for example).
std::optional<double> area_from_corners(const StepShape_Face& face);

}  // namespace noonshell
