#include "cli/utf8.hpp"

#include <array>
#include <cstdint>

namespace noonshell {

namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

struct CodePoint {
    std::uint32_t value = 0;
    std::size_t length = 1;
    bool valid = false;
};

std::uint8_t byte_at(std::string_view text, std::size_t i) {
    return static_cast<std::uint8_t>(text[i]);
}

/// Decodes the code point at `begin`; overlong forms, surrogates and cut sequences are not valid.
CodePoint decode(std::string_view text, std::size_t begin) {
    const std::uint8_t lead = byte_at(text, begin);
    if (lead < 0x80) return {lead, 1, true};
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || begin + length > text.size()) return {};
    std::uint32_t value = lead & (0xFFu >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        const std::uint8_t next = byte_at(text, begin + i);
        if ((next & 0xC0) != 0x80) return {};
        value = (value << 6) | (next & 0x3Fu);
    }
    constexpr std::array<std::uint32_t, 5> least = {0, 0, 0x80, 0x800, 0x10000};
    const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
    if (value < least[length] || surrogate || value > 0x10FFFF) return {};
    return {value, length, true};
}

struct CodeRange {
    std::uint32_t first, last;
};

template <std::size_t N>
bool within(const std::array<CodeRange, N>& ranges, std::uint32_t value) {
    for (const CodeRange& range : ranges) {
        if (value >= range.first && value <= range.last) return true;
    }
    return false;
}

constexpr std::array<CodeRange, 6> no_width = {{{0x0300, 0x036F},
                                                {0x0591, 0x05BD},
                                                {0x064B, 0x065F},
                                                {0x200B, 0x200F},
                                                {0x20D0, 0x20FF},
                                                {0xFE00, 0xFE0F}}};
constexpr std::array<CodeRange, 9> double_width = {{{0x1100, 0x115F},
                                                    {0x2E80, 0xA4CF},
                                                    {0xAC00, 0xD7A3},
                                                    {0xF900, 0xFAFF},
                                                    {0xFE30, 0xFE6F},
                                                    {0xFF00, 0xFF60},
                                                    {0xFFE0, 0xFFE6},
                                                    {0x1F300, 0x1FAFF},
                                                    {0x20000, 0x3FFFD}}};

/// Controls of ASCII and Latin-1, line separators, and marks that reorder the text around them.
bool is_control(std::uint32_t value) {
    return value < 0x20 || (value >= 0x7F && value < 0xA0) || value == 0x2028 || value == 0x2029 ||
           (value >= 0x202A && value <= 0x202E) || (value >= 0x2066 && value <= 0x2069);
}

}  // namespace

std::string printable(std::string_view text) {
    std::string safe;
    safe.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        const CodePoint point = decode(text, i);
        if (point.valid && !is_control(point.value)) {
            safe.append(text.substr(i, point.length));
        } else {
            safe.append(replacement);
        }
        i += point.length;
    }
    return safe;
}

std::size_t display_width(std::string_view text) {
    std::size_t width = 0;
    for (std::size_t i = 0; i < text.size();) {
        const CodePoint point = decode(text, i);
        if (!within(no_width, point.value)) width += within(double_width, point.value) ? 2 : 1;
        i += point.length;
    }
    return width;
}

}  // namespace noonshell
