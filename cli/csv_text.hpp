// CSV as RFC 4180 wants it, whole or in pieces.
#pragma once

#include <functional>
#include <string>
#include <string_view>

namespace noonshell {

inline constexpr std::string_view csv_line_end = "\r\n";

/// A field, in quotes where it needs them.
std::string csv_field(std::string_view text);

/// A file in one piece, for OutputFolder::add().
std::function<std::string()> at_once(std::string text);

}  // namespace noonshell
