// Private to geometry/: colours of items that the CAD kernel does not know, from their styles.
#pragma once

#include <cstdint>
#include <unordered_map>

#include "geometry/model.hpp"
#include "geometry/step_records.hpp"

namespace noonshell {

/// Surface colour of each item that a STYLED_ITEM or OVER_RIDING_STYLED_ITEM names
/// (ISO 10303-46): COLOUR_RGB, or one of the eight DRAUGHTING_PRE_DEFINED_COLOURs of ISO 10303-202.
/// Styles of curves and points do not count. An over-riding style wins over a plain one.
std::unordered_map<std::uint32_t, Rgb> item_colours(const StepRecords& records);

}  // namespace noonshell
