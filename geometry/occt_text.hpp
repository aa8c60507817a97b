// Private to geometry/: text between the CAD kernel and the rest of the program.
#pragma once

#include <string>
#include <string_view>

class TCollection_ExtendedString;

namespace noonshell {

/// UTF-8 of the kernel's UTF-16 text. Lone surrogates become U+FFFD, so that they stay visible;
/// control characters become spaces; blanks at both ends are cut.
std::string to_utf8(const TCollection_ExtendedString& text);

/// UTF-16 of UTF-8 text; malformed bytes become U+FFFD.
TCollection_ExtendedString from_utf8(std::string_view text);

/// The text with control characters turned into spaces, malformed UTF-8 into U+FFFD, trimmed.
std::string one_line(std::string_view text);

/// The text of a STEP file with every character beyond ASCII written as ISO 10303-21 asks:
/// \X2\ with four hexadecimal digits, or \X4\ with eight beyond U+FFFF, closed by \X0\. The
/// kernel's line breaks inside quoted text, which may cut a character or an escape in two, are
/// taken out.
std::string with_step_escapes(std::string_view file_text);

/// True for what exporters put where the user gave no name: "", "NAUO12", "=>[0:1:1:2]", "None"...
bool is_filler_name(std::string_view name);

/// As is_filler_name; a bare number also counts, since exporters number occurrences.
bool is_filler_occurrence_name(std::string_view name);

}  // namespace noonshell
