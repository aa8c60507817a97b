#include "geometry/diagnostics.hpp"

#include <algorithm>
#include <utility>

namespace noonshell {

namespace {

std::string message_of(const InputPlace& place, const std::string& expected,
                       const std::string& seen) {
    std::string text = place.file;
    if (place.line) text += (text.empty() ? "line " : ":") + std::to_string(*place.line);
    if (place.column) text += ":" + std::to_string(*place.column);
    if (!text.empty()) text += ": ";
    if (!place.entity.empty()) text += place.entity + ": ";
    text += "expected " + expected + ", saw " + seen;
    // What was seen may hold anything that stands in a file.
    std::ranges::replace_if(
        text,
        [](char c) {
            const auto byte = static_cast<unsigned char>(c);
            return byte < 0x20 || byte == 0x7F;
        },
        ' ');
    return text;
}

}  // namespace

InputError::InputError(InputPlace place, std::string expected, std::string seen)
    : std::runtime_error(message_of(place, expected, seen)),
      place_(std::move(place)),
      expected_(std::move(expected)),
      seen_(std::move(seen)) {}

void throw_invariant(std::string_view file, int line, std::string_view condition,
                     const std::string& values) {
    const auto slash = file.find_last_of('/');
    std::ostringstream text;
    text << "broken invariant in " << file.substr(slash == file.npos ? 0 : slash + 1) << ":" << line
         << ": " << condition << " (" << values << ")";
    throw InvariantError(text.str());
}

}  // namespace noonshell
