#include "cli/csv_text.hpp"

#include <utility>

#include "cli/utf8.hpp"

namespace noonshell {

std::string csv_field(std::string_view text) {
    std::string safe = printable(text);
    if (safe.find_first_of(",\"") == std::string::npos) return safe;
    std::string quoted = "\"";
    for (const char c : safe) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
    return quoted + '"';
}

std::function<std::string()> at_once(std::string text) {
    return [text = std::move(text)]() mutable { return std::exchange(text, std::string()); };
}

}  // namespace noonshell
