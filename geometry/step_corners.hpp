// Private to geometry/: how large a face is by the corners in its records (ISO 10303-42), for faces
// that the CAD kernel could not make.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "geometry/step_records.hpp"

namespace noonshell {

/// Area of the face's outline as a polygon through its corners, holes taken off, in the square of
/// the file's length unit. A corner whose record is missing is taken from the neighbouring edge, or
/// from where the straight lines of the two edges that meet there cross. Nothing where the corners
/// cannot be found or span no area (an outline of one closed curve, for example).
std::optional<double> area_from_corners(const StepRecords& records, std::uint32_t face);

/// The same for a face some record of which is missing, from its bounds, its loops, or the oriented
/// edges of one loop in their order.
std::optional<double> area_of_bounds(const StepRecords& records,
                                     const std::vector<std::uint32_t>& bounds);

/// The bounds that the record of a face lists; those of the face it stands for where it is an
/// oriented_face.
std::vector<std::uint32_t> bounds_of(const StepRecords& records, std::uint32_t face);

}  // namespace noonshell
