// Damaged STEP files: the look at the header and the decoding of names in this process, thousands
// of times a second. With --full also the whole reader, whose CAD kernel works in a child process:
// slow, and what the child covers does not guide the fuzzer.
#include <TCollection_ExtendedString.hxx>
#include <cmath>
#include <cstring>
#include <limits>
#include <string>

#include "geometry/occt_text.hpp"
#include "geometry/step_prescan.hpp"
#include "geometry/step_reader.hpp"
#include "tests/fuzz/fuzz_checks.hpp"

namespace noonshell::fuzz {
namespace {

bool full = false;

/// Long enough for any sound file of the corpus; a hang is an error that read_step reports itself.
constexpr double time_limit_s = 20;

void check_header(const std::filesystem::path& file) {
    try {
        const StepHeader header = prescan_step(file);
        demand_one_line(header.schema);
    } catch (const InputError& error) {
        demand_one_line(error.what());
    }
}

void check_text(std::string_view text) {
    const std::string line = one_line(text);
    if (!line.empty()) demand_one_line(line);
    demand(one_line(line) == line, "one_line changes nothing twice", line);

    // Through the kernel's UTF-16 and back; its text ends at the first NUL.
    const std::string_view before_nul = text.substr(0, text.find('\0'));
    const std::string back = to_utf8(from_utf8(before_nul));
    demand(back == one_line(before_nul), "UTF-16 and back keeps the text", back);

    const std::string escaped = with_step_escapes(text);
    for (const char c : escaped) {
        demand(static_cast<unsigned char>(c) < 0x80, "escaped text is ASCII", escaped);
    }
    demand(with_step_escapes(escaped) == escaped, "escaping changes nothing twice", escaped);
    if (is_filler_name(text)) demand(is_filler_occurrence_name(text), "a filler name is one");
}

/// The bytes as UTF-16 units, lone surrogates included.
void check_kernel_text(const std::uint8_t* data, std::size_t size) {
    std::u16string units(size / 2, u'\0');
    std::memcpy(units.data(), data, 2 * units.size());
    const std::string text = to_utf8(TCollection_ExtendedString(units.c_str()));
    demand(is_valid_utf8(text), "names are UTF-8", text);
}

void check_model(const Model& model) {
    demand(!model.bodies.empty(), "a model has bodies");
    for (const Vec3& corner : model.mesh.vertices_m) {
        demand(corner.allFinite(), "corners are finite");
    }
    for (const auto& triangle : model.mesh.triangles) {
        for (const std::uint32_t corner : triangle) {
            demand(corner < model.mesh.vertices_m.size(), "triangles use corners that exist");
        }
    }
    for (const Body& body : model.bodies) {
        demand_one_line(body.id);
        demand(std::isfinite(body.area_m2) && std::isfinite(body.volume_m3), "sizes are finite");
    }
    for (const Warning& warning : model.warnings) demand_one_line(warning.text);
    for (const LeftOut& left : model.left_out) demand_one_line(left.reason);
}

void check_reader(const std::filesystem::path& file) {
    try {
        check_model(read_step(file, {.time_limit_s = time_limit_s}));
    } catch (const InputError& error) {
        demand_one_line(error.what());
    }
}

}  // namespace
}  // namespace noonshell::fuzz

extern "C" int LLVMFuzzerInitialize(int* n_arguments, char*** arguments) {
    for (int i = 1; i < *n_arguments; ++i) {
        if (std::strcmp((*arguments)[i], "--full") == 0) noonshell::fuzz::full = true;
    }
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace noonshell::fuzz;
    static const MemoryFile memory;
    const std::filesystem::path file = memory.holding(as_text(data, size));
    if (full) {
        check_reader(file);
        return 0;
    }
    check_header(file);
    check_text(as_text(data, size));
    check_kernel_text(data, size);
    return 0;
}
