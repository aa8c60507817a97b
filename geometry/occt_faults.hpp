// Private to geometry/: what is wrong with entities of a file, in words.
#pragma once

#include <cstdint>
#include <string>

#include "geometry/model.hpp"
#include "geometry/step_structure.hpp"

namespace noonshell {

struct OcctDocument;

/// "#12"; empty for 0.
std::string hash(std::uint32_t number);

/// "#12, to which #11 refers, is missing in the file".
std::string told(const MissingRecord& missing);

/// The same of a placement that lacks it, with what was done about it.
std::string told_of_placement(const MissingRecord& missing);

/// An entity of a type that the kernel does not know, to which `entity` refers; 0: none.
std::uint32_t unknown_type_in(std::uint32_t entity, const OcctDocument& loaded,
                              const StepStructure& structure);

/// Adds to the warning "faulty-entities" what is wrong with the first three of them. Where the
/// kernel passed over missing records in silence, the warning is made.
void name_faults(const OcctDocument& loaded, const StepStructure& structure, Model& model);

}  // namespace noonshell
