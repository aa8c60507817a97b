#include "geometry/step_exponents.hpp"

#include <algorithm>

namespace noonshell {

namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/// Whether the character at `at` stands between the figures of a number and an exponent.
bool begins_exponent(std::string_view text, std::size_t at) {
    if (at == 0 || (!is_digit(text[at - 1]) && text[at - 1] != '.')) return false;
    std::size_t next = at + 1;
    if (next < text.size() && (text[next] == '+' || text[next] == '-')) ++next;
    return next < text.size() && is_digit(text[next]);
}

}  // namespace

std::optional<std::string> with_capital_exponents(std::string_view text) {
    // Most files have none, in names neither.
    bool any = false;
    for (auto at = text.find('e'); at != text.npos && !any; at = text.find('e', at + 1))
        any = begins_exponent(text, at);
    if (!any) return std::nullopt;
    std::string out(text);
    bool quoted = false, changed = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (!quoted && text.substr(i, 2) == "/*") {
            i = std::min(text.find("*/", i + 2), text.size() - 1);
            continue;
        }
        if (text[i] == '\'') quoted = !quoted;
        if (quoted || text[i] != 'e' || !begins_exponent(text, i)) continue;
        out[i] = 'E';
        changed = true;
    }
    return changed ? std::optional(std::move(out)) : std::nullopt;
}

}  // namespace noonshell
