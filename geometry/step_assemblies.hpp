// Private to geometry/: how often the assemblies of a STEP file place their parts, before the CAD
// kernel walks through every one of these placements.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace noonshell {

struct AssemblyShape {
    double placements = 0;  ///< of parts and assemblies, all levels; may exceed any integer
    std::uint32_t largest_entity = 0;  ///< product_definition with the most of them; 0: no assembly
    std::size_t levels = 0;            ///< of assemblies within each other
    std::uint32_t deepest_entity = 0;  ///< that holds most of them
    std::uint32_t ring_entity = 0;  ///< one that holds itself, through others or not; 0: none does
};

/// From the next_assembly_usage_occurrences of the text (ISO 10303-44) alone, each looked at once.
AssemblyShape assembly_shape(std::string_view file_text);

}  // namespace noonshell
