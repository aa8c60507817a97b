// A cheap look at a STEP file before the CAD kernel sees it: is it there, whole, and STEP at all?
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/step_references.hpp"

namespace noonshell {

/// What the header of a STEP file says.
struct StepHeader {
    std::string schema;         ///< as reported in Model::schema, e.g. "AP214 (AUTOMOTIVE_DESIGN)"
    bool known_schema = false;  ///< one of AP203, AP214, AP242
    bool utf8 = true;           ///< false: bytes that are not UTF-8 stand in the file
    std::size_t n_unknown_characters = 0;  ///< bytes of a code page that is not told
    bool sound_escapes = true;             ///< false: with_sound_escapes() has something to replace
    bool may_hold_tessellation = false;    ///< names of tessellated geometry stand in the file
    bool lists_units = true;               ///< false: with_listed_units() has something to add
    bool sound_axes = true;                ///< false: odd_directions() has something to tell
    bool capital_exponents = true;         ///< false: with_capital_exponents() has something to do
    std::size_t ring_length = 0;           ///< of the longest ring of references; 0: none
    std::uint32_t ring_entity = 0;         ///< one of its entities
    std::size_t n_missing = 0;             ///< references to records that the file lacks
    std::size_t n_repeated = 0;            ///< records whose number another one bears already
    std::vector<RepeatedRecord> repeated{};  ///< the first of them
};

/// Reads the file once. Throws InputError when it is missing, a folder, unreadable, empty, without
/// the opening keyword ISO-10303-21, without the closing keyword END-ISO-10303-21 (cut short), with
/// a NUL byte before it, with a list or a text too long for the CAD kernel, with references that
/// go round in a long ring or run in an endless chain, or of a schema that holds no
/// mechanical geometry (a building data model, for example).
StepHeader prescan_step(const std::filesystem::path& file);

/// The whole file as text. Throws InputError when it is missing, no regular file, or unreadable.
std::string read_step_text(const std::filesystem::path& file);

/// The text with each record of tessellated geometry emptied: "#5=TESSELLATION();". The CAD kernel
/// does not use them, and the time it takes to parse a list grows with the square of its length.
std::string without_tessellation(std::string_view text);

/// Bytes of the well-formed character of UTF-8 at `i`; 0 where there is none.
std::size_t sound_utf8_at(std::string_view bytes, std::size_t i);

/// True when the bytes are well-formed UTF-8 (no overlong forms, no surrogates).
bool is_valid_utf8(std::string_view bytes);

}  // namespace noonshell
