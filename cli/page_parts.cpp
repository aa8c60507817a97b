#include "cli/page_parts.hpp"

#include <fmt/format.h>

#include "cli/cautions.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

std::string warnings_page(std::span<const Warning> warnings) {
    if (warnings.empty()) return "\nWarnings: none\n";
    std::string text = fmt::format("\nWarnings ({})\n", warnings.size());
    for (const Warning& warning : warnings) {
        const std::string where =
            warning.where.empty() ? "" : " [" + printable(warning.where) + "]";
        text += fmt::format("  {}: {}{}\n", warning.code, printable(warning.text), where);
    }
    return text;
}

std::string cautions_page() {
    std::string text = "\nCautions\n";
    for (const std::string_view line : cautions()) text += fmt::format("  {}\n", line);
    return text;
}

}  // namespace noonshell
