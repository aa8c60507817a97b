// Private to geometry/: geometric contexts of a STEP file without any units, a form of ISO 10303-41
// entities that the CAD kernel does not know: it would read nothing that they place.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace noonshell {

/// The text with an empty list of units in each context of space that has none; nothing where all
/// have one. The kernel then goes by metres.
std::optional<std::string> with_listed_units(std::string_view text);

}  // namespace noonshell
