// Pieces that the pages on the terminal share.
#pragma once

#include <cstddef>
#include <span>
#include <string>

#include "geometry/diagnostics.hpp"

namespace noonshell {

/// Printable text; what is too long goes without its middle, for both ends tell parts and sides
/// apart: `--json` gives the whole.
std::string short_name(const std::string& name, std::size_t most_columns = 60);

/// "  LOST: 12.3 % of..." where more was lost than the limit, for the place below the head of a
/// page; else empty.
std::string losses_of(std::span<const Warning> warnings);

/// "Warnings (2)" and one line each, or "Warnings: none". Of many of one kind the first are printed
/// and the rest counted, unless `all` are wanted.
std::string warnings_page(std::span<const Warning> warnings, bool all);

/// "Cautions" and one line each, see cautions().
std::string cautions_page(bool of_films);

}  // namespace noonshell
