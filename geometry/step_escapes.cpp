#include "geometry/step_escapes.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>

namespace noonshell {

namespace {

constexpr std::string_view escaped_replacement = "\\X2\\FFFD\\X0\\";
constexpr std::string_view backslash = "\\X2\\005C\\X0\\";

/// An escape at the start of some text.
struct Escape {
    std::size_t length = 1;      ///< characters of the file that it takes
    std::string_view instead{};  ///< empty: it stays as it is
};

bool all_hex(std::string_view text) {
    return std::ranges::all_of(text, [](unsigned char c) { return std::isxdigit(c) != 0; });
}

/// True for a run of code points of `width` digits each; code points end at U+10FFFF.
bool sound_digits(std::string_view digits, std::size_t width) {
    if (digits.empty() || digits.size() % width != 0 || !all_hex(digits)) return false;
    for (std::size_t i = 0; i < digits.size(); i += width) {
        unsigned code = 0;
        std::from_chars(digits.data() + i, digits.data() + i + width, code, 16);
        if (code > 0x10FFFF) return false;
    }
    return true;
}

/// Digits of escapes are upper case by ISO 10303-21.
bool is_upper_hex(char c) {
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'F');
}

/// "\X2\...\X0\" or "\X4\...\X0\"; without its end it takes the whole code points that follow, or
/// what there is of the first.
Escape wide_escape(std::string_view text, std::size_t width) {
    constexpr std::size_t lead = 4;
    constexpr std::string_view end = "\\X0\\";
    const auto quote = std::min(text.find('\'', lead), text.size());
    const auto at = text.substr(0, quote).find(end, lead);
    if (at == text.npos) {
        std::size_t n = lead;
        while (n < quote && is_upper_hex(text[n])) ++n;
        const std::size_t digits = n - lead;
        return {lead + (digits < width ? digits : digits / width * width), escaped_replacement};
    }
    const bool sound = sound_digits(text.substr(lead, at - lead), width);
    return {at + end.size(), sound ? std::string_view{} : escaped_replacement};
}

/// `text` begins with a backslash.
Escape escape_at(std::string_view text) {
    if (text.starts_with("\\\\")) return {2, backslash};
    if (text.starts_with("\\X2\\")) return wide_escape(text, 4);
    if (text.starts_with("\\X4\\")) return wide_escape(text, 8);
    if (text.starts_with("\\X\\")) {
        const std::string_view digits = text.substr(3, 2);
        if (digits.size() == 2 && all_hex(digits)) return {5};
        return {3, escaped_replacement};
    }
    if (text.starts_with("\\S\\")) return {4};
    if (text.size() >= 4 && text[1] == 'P' && text[3] == '\\') {
        return {4, text[2] >= 'A' && text[2] <= 'I' ? std::string_view{} : escaped_replacement};
    }
    return {1};
}

}  // namespace

std::optional<std::string> with_sound_escapes(std::string_view file_text) {
    std::string out;
    std::size_t done = 0;
    for (auto at = file_text.find('\\'); at != file_text.npos;) {
        const Escape escape = escape_at(file_text.substr(at));
        if (!escape.instead.empty()) {
            out += file_text.substr(done, at - done);
            out += escape.instead;
            done = std::min(at + escape.length, file_text.size());
        }
        at = file_text.find('\\', at + escape.length);
    }
    if (done == 0) return std::nullopt;
    return out += file_text.substr(done);
}

}  // namespace noonshell
