// Bytes of old code pages in the text of a STEP file, which has to be ASCII by ISO 10303-21.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace noonshell {

/// Bytes that are no part of a well-formed character of UTF-8, or stand in a row with such.
struct StrayBytes {
    std::size_t n = 0;
    std::size_t n_control = 0;  ///< 0x80 to 0x9F: controls in ISO 8859-1, which no name has
    std::size_t n_foreign = 0;  ///< in a row as no letters of ISO 8859-1 stand, sound ones included
};

StrayBytes stray_bytes(std::string_view text);

/// The text with each stray byte as U+FFFD, so that it stays visible; in a row of foreign ones
/// those too that happen to look like UTF-8.
std::string with_visible_bytes(std::string_view text);

}  // namespace noonshell
