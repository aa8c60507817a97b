// A second reader of STEP files for tests: the planar solids of a file (ISO 10303-21, -42, -43,
// -44), found from the text alone, with nothing of the CAD kernel or of the program's own reader.
#pragma once

#include <array>
#include <filesystem>
#include <string>
#include <vector>

namespace noonshell::test_support {

/// A manifold_solid_brep at one of its places.
struct Part21Solid {
    std::string name;  ///< names of the occurrences from the root by '/', else of the product
    double area_m2 = 0;
    double volume_m3 = 0;              ///< by the divergence theorem
    std::array<double, 6> bounds_m{};  ///< as Model::bbox_m
    std::size_t n_faces = 0;
};

/// Sorted by name, then by bounds. Throws std::runtime_error for what it does not know: curved
/// surfaces or edges, references to nothing.
std::vector<Part21Solid> read_part21_solids(const std::filesystem::path& file);

}  // namespace noonshell::test_support
