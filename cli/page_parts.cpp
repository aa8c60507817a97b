#include "cli/page_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "cli/cautions.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

std::string short_name(const std::string& name, std::size_t most_columns) {
    const std::size_t end_columns = most_columns / 2 - 2;
    std::string text = printable(name);
    if (display_width(text) <= most_columns) return text;
    const auto is_start = [&](std::size_t at) {
        return (static_cast<unsigned char>(text[at]) & 0xC0u) != 0x80u;  // of a UTF-8 sequence
    };
    std::size_t head = 0, tail = text.size();
    for (std::size_t next = 1; next < text.size(); ++next) {
        if (!is_start(next)) continue;
        if (display_width(text.substr(0, next)) > end_columns) break;
        head = next;
    }
    for (std::size_t next = text.size() - 1; next > head; --next) {
        if (!is_start(next)) continue;
        if (display_width(text.substr(next)) > end_columns) break;
        tail = next;
    }
    return text.substr(0, head) + "[...]" + text.substr(tail);
}

std::string losses_of(std::span<const Warning> warnings) {
    std::string text;
    for (const Warning& warning : warnings) {
        if (warning.code == "lost-area")
            text += fmt::format("  LOST: {}\n", printable(warning.text));
    }
    return text;
}

std::string warnings_page(std::span<const Warning> warnings, bool all) {
    if (warnings.empty()) return "\nWarnings: none\n";
    constexpr std::ptrdiff_t most_of_one_kind = 12;
    std::map<std::string_view, std::ptrdiff_t> n_told;
    std::string text = fmt::format("\nWarnings ({})\n", warnings.size());
    for (const Warning& warning : warnings) {
        const std::ptrdiff_t nth = ++n_told[warning.code];
        const std::ptrdiff_t n = std::ranges::count(warnings, warning.code, &Warning::code);
        if (!all && n > most_of_one_kind && nth >= most_of_one_kind) {
            if (nth == most_of_one_kind)
                text += fmt::format("  {}: and {} more: --verbose prints them\n", warning.code,
                                    n - most_of_one_kind + 1);
            continue;
        }
        const std::string where =
            warning.where.empty() ? "" : " [" + printable(warning.where) + "]";
        text += fmt::format("  {}: {}{}\n", warning.code, printable(warning.text), where);
    }
    return text;
}

std::string cautions_page(bool of_films) {
    std::string text = "\nCautions\n";
    for (const std::string_view line : cautions(of_films)) text += fmt::format("  {}\n", line);
    return text;
}

}  // namespace noonshell
