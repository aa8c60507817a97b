// Private to geometry/: how the records of a STEP file hang together by their references, before
// the CAD kernel sees them: it follows them without asking whether they end.
#pragma once

#include <cstdint>
#include <string_view>

namespace noonshell {

/// What the walk along all references found.
struct ReferenceShape {
    std::size_t longest_ring = 0;   ///< records of the longest ring that was met; 0: no ring
    std::uint32_t ring_entity = 0;  ///< one of its records
    std::size_t deepest = 0;        ///< records of the longest chain of references
    std::uint32_t deep_entity = 0;  ///< the record that it begins with
};

/// Walks along every reference once; time and memory grow in step with the text (8 bytes for each
/// reference, 24 for each record). Product data is free of rings: what is part of something does
/// not contain it.
ReferenceShape reference_shape(std::string_view file_text);

}  // namespace noonshell
