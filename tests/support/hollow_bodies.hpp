// Boxes that users draw in place of plain solids: hollow with walls, with or without a doorway, and
// open shells of single faces. Lengths in metres unless the name says otherwise.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "geometry/vec3.hpp"

namespace noonshell::test_support {

/// Cut through the whole wall at the box's far X end, up from the inner floor, in its middle.
struct Doorway {
    double width_m, height_m;
};

struct HollowBoxFacts {
    double solid_m3;  ///< of the walls
    double void_m3;   ///< of the room inside the walls
    double inner_floor_m2;
    std::size_t n_faces;
};

/// A box of outside size `size_m` with its corner at the origin and walls of one thickness. Throws
/// std::invalid_argument when the walls or the doorway do not fit.
HollowBoxFacts write_hollow_box(const std::filesystem::path& file, const Vec3& size_m,
                                double wall_mm, const std::optional<Doorway>& doorway = {},
                                const std::string& name = "hollow");

/// The faces of a box, one shell, nothing shared between them: five (no top) or six, or five
/// without the one at the far X end. Every face is
/// drawn back so that neighbours along an edge of the box stand `gap_mm` apart.
/// Returns the area of the faces together [m2].
double write_open_shell(const std::filesystem::path& file, const Vec3& size_m, int n_faces,
                        double gap_mm, const std::string& name = "shell");
double write_shell_without_end(const std::filesystem::path& file, const Vec3& size_m,
                               const std::string& name = "shell");

/// The same box as write_hollow_box() makes, without the wall at its far X end. `void_m3` and
/// `inner_floor_m2` reach to that end.
HollowBoxFacts write_open_ended_box(const std::filesystem::path& file, const Vec3& size_m,
                                    double wall_mm, const std::string& name = "tunnel");

}  // namespace noonshell::test_support
