#include "geometry/occt_text.hpp"

#include <TCollection_ExtendedString.hxx>
#include <algorithm>
#include <array>
#include <cctype>
#include <cstdint>
#include <cstdio>

namespace noonshell {

namespace {

constexpr std::uint32_t replacement_character = 0xFFFD;

bool is_high(std::uint32_t unit) {
    return unit >= 0xD800 && unit <= 0xDBFF;
}
bool is_low(std::uint32_t unit) {
    return unit >= 0xDC00 && unit <= 0xDFFF;
}
bool is_control(std::uint32_t code) {
    return code < 0x20 || (code >= 0x7F && code <= 0x9F);
}

void append_utf8(std::string& out, std::uint32_t code) {
    const auto put = [&](std::uint32_t byte) { out += static_cast<char>(byte); };
    if (code < 0x80) {
        put(code);
    } else if (code < 0x800) {
        put(0xC0u | (code >> 6));
        put(0x80u | (code & 0x3Fu));
    } else if (code < 0x10000) {
        put(0xE0u | (code >> 12));
        put(0x80u | ((code >> 6) & 0x3Fu));
        put(0x80u | (code & 0x3Fu));
    } else {
        put(0xF0u | (code >> 18));
        put(0x80u | ((code >> 12) & 0x3Fu));
        put(0x80u | ((code >> 6) & 0x3Fu));
        put(0x80u | (code & 0x3Fu));
    }
}

/// Reads one code point from `text` at `i` and moves `i` past it.
std::uint32_t next_code(std::string_view text, std::size_t& i) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
    const std::uint32_t lead = byte(i);
    ++i;
    if (lead < 0x80) return lead;
    const std::size_t more = lead >= 0xC2 && lead < 0xE0   ? 1
                             : lead >= 0xE0 && lead < 0xF0 ? 2
                             : lead >= 0xF0 && lead < 0xF5 ? 3
                                                           : 0;
    if (more == 0) return replacement_character;
    std::uint32_t code = lead & (0x3Fu >> more);
    std::size_t k = 0;
    for (; k < more && i < text.size() && (byte(i) & 0xC0u) == 0x80u; ++k, ++i) {
        code = (code << 6) | (byte(i) & 0x3Fu);
    }
    constexpr std::array<std::uint32_t, 4> least = {0, 0x80, 0x800, 0x10000};
    const bool whole = k == more && code >= least[more] && code <= 0x10FFFF;
    return whole && !is_high(code) && !is_low(code) ? code : replacement_character;
}

void trim(std::string& text) {
    const auto last = text.find_last_not_of(' ');
    text.erase(last == text.npos ? 0 : last + 1);
    text.erase(0, std::min(text.find_first_not_of(' '), text.size()));
}

}  // namespace

std::string to_utf8(const TCollection_ExtendedString& text) {
    std::string out;
    const int n = text.Length();
    for (int i = 1; i <= n; ++i) {
        std::uint32_t code = text.Value(i);
        if (is_high(code) && i < n && is_low(text.Value(i + 1))) {
            code = 0x10000u + ((code - 0xD800u) << 10) + (text.Value(i + 1) - 0xDC00u);
            ++i;
        } else if (is_high(code) || is_low(code)) {
            code = replacement_character;
        }
        append_utf8(out, is_control(code) ? ' ' : code);
    }
    trim(out);
    return out;
}

TCollection_ExtendedString from_utf8(std::string_view text) {
    std::u16string units;
    for (std::size_t i = 0; i < text.size();) {
        const std::uint32_t code = next_code(text, i);
        if (code < 0x10000) {
            units += static_cast<char16_t>(code);
        } else {
            units += static_cast<char16_t>(0xD800u + ((code - 0x10000u) >> 10));
            units += static_cast<char16_t>(0xDC00u + ((code - 0x10000u) & 0x3FFu));
        }
    }
    return TCollection_ExtendedString(units.c_str());
}

std::string one_line(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const std::uint32_t code = next_code(text, i);
        append_utf8(out, is_control(code) ? ' ' : code);
    }
    trim(out);
    return out;
}

std::string with_step_escapes(std::string_view file_text) {
    std::string text;
    bool quoted = false;
    for (const char c : file_text) {
        if (c == '\'') quoted = !quoted;
        if (!quoted || c != '\n') text += c;
    }
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const std::uint32_t code = next_code(text, i);
        if (code < 0x80) {
            out += static_cast<char>(code);
            continue;
        }
        std::array<char, 20> escape{};
        std::snprintf(escape.data(), escape.size(),
                      code < 0x10000 ? "\\X2\\%04X\\X0\\" : "\\X4\\%08X\\X0\\", code);
        out += escape.data();
    }
    return out;
}

bool is_filler_name(std::string_view name) {
    // The last eight are what the CAD kernel calls an unnamed shape.
    constexpr std::array<std::string_view, 12> fillers = {
        "",      "None",  "NONE", "unnamed", "COMPOUND", "COMPSOLID",
        "SOLID", "SHELL", "FACE", "WIRE",    "EDGE",     "VERTEX"};
    return std::ranges::find(fillers, name) != fillers.end() || name.starts_with("=>[") ||
           name.starts_with("Open CASCADE STEP translator");
}

bool is_filler_occurrence_name(std::string_view name) {
    if (is_filler_name(name)) return true;
    if (name.starts_with("NAUO")) name.remove_prefix(4);
    return std::ranges::all_of(name, [](unsigned char c) { return std::isdigit(c) != 0; });
}

}  // namespace noonshell
