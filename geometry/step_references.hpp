// Private to geometry/: how the records of a STEP file hang together by their references, before
// the CAD kernel sees them: it follows them without asking whether they end.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace noonshell {

/// A record whose number another one bears already.
struct RepeatedRecord {
    std::uint32_t number = 0;
    std::size_t first_line = 0, line = 0;  ///< 1-based, of the first that bears it and of this one
};

/// What the walk along all references found.
struct ReferenceShape {
    std::size_t longest_ring = 0;          ///< records of the longest ring that was met; 0: no ring
    std::uint32_t ring_entity = 0;         ///< one of its records
    std::size_t deepest = 0;               ///< records of the longest chain of references
    std::uint32_t deep_entity = 0;         ///< the record that it begins with
    std::size_t longest_text = 0;          ///< bytes between quotes
    std::uint32_t text_entity = 0;         ///< the record that holds it; 0: none does
    std::size_t n_missing = 0;             ///< references to records that the text lacks
    std::size_t n_repeated = 0;            ///< records whose number another one bears already
    std::vector<RepeatedRecord> repeated;  ///< the first three of them
};

/// Walks along every reference once; time and memory grow in step with the text (8 bytes for each
/// reference, 32 for each record). Product data is free of rings: what is part of something does
/// not contain it.
ReferenceShape reference_shape(std::string_view file_text);

}  // namespace noonshell
