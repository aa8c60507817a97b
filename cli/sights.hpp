// What stands in the way of a surface's view, in the user's names.
#pragma once

#include <cstdint>
#include <string>

#include "cli/inspection.hpp"

namespace noonshell {

/// The unit or body that a triangle of the blockers belongs to; see SkyMask::seen.
std::string sight_name(const Inspection& inspection, std::uint32_t triangle);

}  // namespace noonshell
