// Pieces that the pages on the terminal share.
#pragma once

#include <span>
#include <string>

#include "geometry/diagnostics.hpp"

namespace noonshell {

/// "Warnings (2)" and one line each, or "Warnings: none".
std::string warnings_page(std::span<const Warning> warnings);

/// "Cautions" and one line each.
std::string cautions_page();

}  // namespace noonshell
