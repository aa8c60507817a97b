#include "geometry/step_prescan.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <sstream>
#include <string_view>
#include <system_error>

#include "geometry/diagnostics.hpp"
#include "geometry/step_assemblies.hpp"
#include "geometry/step_bytes.hpp"
#include "geometry/step_contexts.hpp"
#include "geometry/step_directions.hpp"
#include "geometry/step_escapes.hpp"
#include "geometry/step_exponents.hpp"
#include "geometry/step_records.hpp"
#include "geometry/step_references.hpp"
#include "geometry/tessellated_bodies.hpp"

namespace noonshell {

namespace {

constexpr std::string_view opening = "ISO-10303-21;";
constexpr std::string_view closing = "END-ISO-10303-21";
constexpr std::string_view whole_file = "a STEP file (ISO 10303-21)";

[[noreturn]] void refuse(const std::filesystem::path& file, std::string_view expected,
                         std::string seen) {
    throw InputError({.file = file.string(), .line = {}, .column = {}, .entity = {}},
                     std::string(expected), std::move(seen));
}

/// Replaces comments by nothing and line breaks by spaces; quoted text is kept as it is.
std::string without_comments(std::string_view text) {
    std::string out;
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (!quoted && text.substr(i, 2) == "/*") {
            const auto end = text.find("*/", i + 2);
            if (end == text.npos) break;
            i = end + 1;
            continue;
        }
        if (text[i] == '\'') quoted = !quoted;
        out += std::isspace(static_cast<unsigned char>(text[i])) ? ' ' : text[i];
    }
    return out;
}

/// The first few characters, made printable, for a message.
std::string printable(std::string_view text, std::size_t longest) {
    std::string out;
    for (const char c : text.substr(0, longest)) {
        out += std::isprint(static_cast<unsigned char>(c)) ? c : '.';
    }
    return out;
}

std::string excerpt(std::string_view text) {
    return "a file that begins with \"" + printable(text, 24) + "\"";
}

/// An IGES file has lines of 80 characters; the first ones carry an S in column 73 and the
/// number 1.
bool is_iges(std::string_view text) {
    const std::string_view line = text.substr(0, text.find_first_of("\r\n"));
    return line.size() == 80 && line[72] == 'S' && line.find_last_not_of("0123456789 ") == 72;
}

/// Of a file that is none of ours, by how it begins.
std::string what_it_is(std::string_view body) {
    if (is_iges(body)) return "an IGES file";
    if (body.starts_with("\x1F\x8B")) return "a gzip file (unpack it first)";
    if (body.starts_with("PK\x03\x04")) return "a ZIP archive (unpack it first)";
    if (body.starts_with("\xFF\xFE") || body.starts_with("\xFE\xFF"))
        return "a text in UTF-16 (export it as plain text)";
    return excerpt(body);
}

void refuse_nul_bytes(const std::filesystem::path& file, std::string_view text) {
    const auto at = text.find('\0');
    if (at == text.npos) return;
    const auto lines_before = std::ranges::count(text.substr(0, at), '\n');
    throw InputError({.file = file.string(),
                      .line = static_cast<std::size_t>(lines_before) + 1,
                      .column = {},
                      .entity = {}},
                     "text", "a NUL byte");
}

/// The kernel takes 7 s for a list of 100,000 items, and four times that for twice as many.
void refuse_endless_lists(const std::filesystem::path& file, std::string_view text) {
    constexpr std::ptrdiff_t longest_list = 400000;
    for (std::size_t begin = 0; begin < text.size();) {
        const auto end = std::min(text.find(';', begin), text.size());
        const std::string_view record = text.substr(begin, end - begin);
        if (record.size() > static_cast<std::size_t>(longest_list) &&
            std::ranges::count(record, ',') > longest_list) {
            const auto number = record.find('#');
            throw InputError({.file = file.string(),
                              .line = {},
                              .column = {},
                              .entity = printable(record.substr(std::min(number, record.size()),
                                                                record.find('=', number) - number),
                                                  24)},
                             "a record of up to 400000 values",
                             std::to_string(std::ranges::count(record, ',') + 1));
        }
        begin = end + 1;
    }
}

/// Product data goes some 16 records deep, and the kernel takes 10 s and 2 GiB for a million.
ReferenceShape sound_references(const std::filesystem::path& file, std::string_view text) {
    constexpr std::size_t longest_ring = 10000, deepest_chain = 500000;
    // The kernel's parser takes a text whole into its buffer of 16 KiB, or gives the file up.
    constexpr std::size_t longest_text = 16380;
    ReferenceShape shape = reference_shape(text);
    if (shape.longest_text > longest_text) {
        throw InputError(
            {.file = file.string(),
             .line = {},
             .column = {},
             .entity =
                 shape.text_entity == 0 ? std::string{} : "#" + std::to_string(shape.text_entity)},
            "a text of up to " + std::to_string(longest_text) + " characters",
            std::to_string(shape.longest_text));
    }
    const auto refuse_at = [&](std::uint32_t entity, std::string seen) {
        throw InputError({.file = file.string(),
                          .line = {},
                          .column = {},
                          .entity = "#" + std::to_string(entity)},
                         "references between entities that come to an end", std::move(seen));
    };
    if (shape.longest_ring > longest_ring) {
        refuse_at(shape.ring_entity, "a ring of " + std::to_string(shape.longest_ring) +
                                         " entities that refer to each other");
    }
    if (shape.deepest > deepest_chain) {
        refuse_at(shape.deep_entity,
                  "a chain of " + std::to_string(shape.deepest) + " entities from here on");
    }
    return shape;
}

/// The kernel walks through every placement, some thousands in a second.
void refuse_endless_assemblies(const std::filesystem::path& file, std::string_view text) {
    constexpr double most_placements = 100000;
    constexpr std::size_t most_levels = 1000;  // each takes a call within a call of the CAD kernel
    const AssemblyShape shape = assembly_shape(text);
    const auto refuse_at = [&](std::uint32_t entity, const char* expected, std::string seen) {
        throw InputError({.file = file.string(),
                          .line = {},
                          .column = {},
                          .entity = "#" + std::to_string(entity)},
                         expected, std::move(seen));
    };
    if (shape.ring_entity != 0)
        refuse_at(shape.ring_entity, "an assembly of other parts",
                  "one that holds itself, straight or through its parts");
    if (shape.placements > most_placements) {
        std::ostringstream seen;
        seen << shape.placements << ": assemblies that hold assemblies more than once";
        refuse_at(shape.largest_entity, "an assembly of up to 100000 placed parts", seen.str());
    }
    if (shape.levels > most_levels)
        refuse_at(shape.deepest_entity, "assemblies within each other down to 1000 levels",
                  std::to_string(shape.levels) + " levels");
}

/// Of a file that was cut short.
std::string last_whole_entity(std::string_view text) {
    const StepRecords records(text);
    const auto numbers = records.numbers();
    for (auto number = numbers.rbegin(); number != numbers.rend(); ++number) {
        const std::string_view body = records.body(*number);
        const auto end = static_cast<std::size_t>(body.data() - text.data()) + body.size();
        if (end < text.size()) return "; the last whole entity is #" + std::to_string(*number);
    }
    return "; it holds no whole entity";
}

std::string schema_identifier(std::string_view text) {
    // The header is short; a generous limit keeps the scan cheap for large files.
    constexpr std::size_t longest_header = 1u << 20;
    const std::string header = without_comments(text.substr(0, longest_header));
    const auto at = header.find("FILE_SCHEMA");
    if (at == header.npos) return {};
    const auto begin = header.find('\'', at);
    if (begin == header.npos) return {};
    const auto end = header.find_first_of("' {.", begin + 1);
    constexpr std::size_t longest_name = 80;  // the known ones have up to 31 letters
    std::string name = printable(
        std::string_view(header).substr(begin + 1, end == header.npos ? end : end - begin - 1),
        longest_name);
    std::ranges::transform(name, name.begin(), [](unsigned char c) { return std::toupper(c); });
    return name;
}

std::string protocol_of(std::string_view schema) {
    if (schema.starts_with("CONFIG_CONTROL_DESIGN") || schema.starts_with("AP203")) return "AP203";
    if (schema.starts_with("AUTOMOTIVE_DESIGN") || schema.starts_with("AP214")) return "AP214";
    if (schema.starts_with("AP242")) return "AP242";
    return {};
}

}  // namespace

std::size_t sound_utf8_at(std::string_view bytes, std::size_t i) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(bytes[k]); };
    const unsigned lead = byte(i);
    const std::size_t n = lead < 0x80   ? 1
                          : lead < 0xC2 ? 0
                          : lead < 0xE0 ? 2
                          : lead < 0xF0 ? 3
                          : lead < 0xF5 ? 4
                                        : 0;
    if (n == 0 || i + n > bytes.size()) return 0;
    for (std::size_t k = 1; k < n; ++k) {
        if ((byte(i + k) & 0xC0u) != 0x80u) return 0;
    }
    if ((lead == 0xE0 && byte(i + 1) < 0xA0) || (lead == 0xED && byte(i + 1) > 0x9F) ||
        (lead == 0xF0 && byte(i + 1) < 0x90) || (lead == 0xF4 && byte(i + 1) > 0x8F)) {
        return 0;
    }
    return n;
}

bool is_valid_utf8(std::string_view bytes) {
    for (std::size_t i = 0; i < bytes.size();) {
        const std::size_t n = sound_utf8_at(bytes, i);
        if (n == 0) return false;
        i += n;
    }
    return true;
}

std::string read_step_text(const std::filesystem::path& file) {
    std::error_code trouble;
    const auto status = std::filesystem::status(file, trouble);
    if (status.type() == std::filesystem::file_type::not_found) {
        refuse(file, whole_file, "no such file");
    }
    if (trouble) refuse(file, whole_file, trouble.message());
    if (std::filesystem::is_directory(status)) refuse(file, whole_file, "a folder");
    if (!std::filesystem::is_regular_file(status)) {
        refuse(file, whole_file, "something that is not a regular file");
    }
    std::ifstream in(file, std::ios::binary);
    if (!in) refuse(file, whole_file, "a file that cannot be opened for reading");
    std::string text;
    std::array<char, 1 << 16> block;
    while (in.read(block.data(), block.size()) || in.gcount() > 0) {
        text.append(block.data(), static_cast<std::size_t>(in.gcount()));
    }
    if (in.bad()) refuse(file, whole_file, "a file that cannot be read to its end");
    return text;
}

std::string without_tessellation(std::string_view text) {
    constexpr std::array<std::string_view, 3> kinds = {"COORDINATES_LIST", "TRIANGULATED_FACE",
                                                       "TRIANGULATED_SURFACE_SET"};
    std::string out;
    std::size_t done = 0;
    for (auto equals = text.find('='); equals != text.npos; equals = text.find('=', equals + 1)) {
        const auto begin = text.find_first_not_of(" \t\r\n", equals + 1);
        if (begin == text.npos) break;
        std::string_view keyword = text.substr(begin, 40);
        for (const std::string_view prefix : {"COMPLEX_", "CUBIC_BEZIER_"}) {
            if (keyword.starts_with(prefix)) keyword.remove_prefix(prefix.size());
        }
        const auto starts = [&](std::string_view kind) { return keyword.starts_with(kind); };
        if (std::ranges::none_of(kinds, starts)) continue;
        const auto end = StepRecords::end_of_record(text, begin);
        out += text.substr(done, begin - done);
        out += "TESSELLATION()";
        done = end;
        equals = std::max(equals, end - 1);
    }
    return out += text.substr(done);
}

StepHeader prescan_step(const std::filesystem::path& file) {
    const std::string text = read_step_text(file);
    if (text.empty()) refuse(file, whole_file, "an empty file");

    const std::string_view body = text;
    if (body.starts_with("\xEF\xBB\xBF"))  // the CAD kernel reads nothing behind it
        refuse(file, "a STEP file that begins with ISO-10303-21",
               "a byte order mark before it (save the file without one)");
    const std::string start = without_comments(body.substr(0, 4096));
    const auto first = start.find_first_not_of(' ');
    if (first == start.npos || !std::string_view(start).substr(first).starts_with(opening)) {
        refuse(file, "a STEP file that begins with ISO-10303-21", what_it_is(body));
    }
    const auto end = body.rfind(closing);
    refuse_nul_bytes(file, body.substr(0, end));
    if (end == body.npos) {
        refuse(file, "END-ISO-10303-21 at the end of the file",
               "a file cut short after " + std::to_string(text.size()) + " bytes" +
                   last_whole_entity(text));
    }

    StepHeader header;
    const std::string schema = schema_identifier(body);
    if (schema.starts_with("IFC")) {
        refuse(file, "a schema of AP203, AP214 or AP242 in FILE_SCHEMA",
               schema + ", a building data model (export its bodies as STEP AP242)");
    }
    const std::string protocol = protocol_of(schema);
    header.known_schema = !protocol.empty();
    header.schema = schema.empty()        ? "unknown"
                    : header.known_schema ? protocol + " (" + schema + ")"
                                          : "unknown (" + schema + ")";
    const StrayBytes stray = stray_bytes(body);
    header.utf8 = stray.n == 0;
    header.n_unknown_characters = stray.n_control + stray.n_foreign == 0 ? 0 : stray.n;
    header.sound_escapes = !with_sound_escapes(body);
    header.may_hold_tessellation = may_hold_tessellation(body);
    refuse_endless_lists(file, header.may_hold_tessellation ? without_tessellation(body) : body);
    header.sound_axes = odd_directions(body).empty();
    header.capital_exponents = !with_capital_exponents(body);
    header.lists_units = !with_listed_units(body);
    const ReferenceShape references = sound_references(file, body);
    refuse_endless_assemblies(file, body);
    header.ring_length = references.longest_ring;
    header.ring_entity = references.ring_entity;
    header.n_missing = references.n_missing;
    header.n_repeated = references.n_repeated;
    header.repeated = references.repeated;
    return header;
}

}  // namespace noonshell
