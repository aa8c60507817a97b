// Text from the user's files made safe to print, and its width on a terminal.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace noonshell {

/// `text` with control characters and broken UTF-8 replaced by U+FFFD, so that a name from a model
/// can neither move the cursor nor break a JSON document.
std::string printable(std::string_view text);

/// Columns that valid UTF-8 takes on a terminal: 0 for combining marks, 2 for wide East Asian
/// characters and pictographs (Unicode annex 11, main blocks only), 1 for the rest.
std::size_t display_width(std::string_view text);

}  // namespace noonshell
