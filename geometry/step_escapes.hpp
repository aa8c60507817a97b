// The escapes of text in a STEP file (ISO 10303-21, control directives).
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace noonshell {

/// The file's text with every malformed escape replaced by U+FFFD, so that it stays visible (the
/// CAD kernel drops them without a word), and every doubled backslash by the one that it stands
/// for. Escapes: "\S\c", "\P?\" with ? from A to I, "\X\hh", "\X2\hhhh...\X0\",
/// "\X4\hhhhhhhh...\X0\". A backslash that begins none of these stays as it is. Nothing when there
/// is nothing to replace.
std::optional<std::string> with_sound_escapes(std::string_view file_text);

}  // namespace noonshell
