// An invented 20 ft container in all its detail, as a STEP file: corrugated sheets of real
// thickness, posts, rails, castings, cross-members, plywood, doors and their gear. Outside sizes
// are those of ISO 668, folds those of the trade; the rest is made up.
//
// Local axes: x from the front wall (0) to the doors (6.058 m), y across (2.438), z up (2.591). At
// a panel gap of 0 neighbours touch without overlap and enclose one room.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "geometry/block_writer.hpp"
#include "geometry/vec3.hpp"

namespace noonshell::test_support {

enum class ContainerForm {
    assembly,  ///< "frame", "panels", "floor" and "gear", each an assembly of named parts
    compound,  ///< one part that holds all solids
};

struct ContainerPlacement {
    std::string name = "container";
    Vec3 corner_m{0, 0, 0};
    double turn_deg = 0;    ///< counter-clockwise seen from above, about the corner
    bool mirrored = false;  ///< in the plane x = 3.029 m: doors at the other end
};

struct ContainerOptions {
    ContainerForm form = ContainerForm::assembly;
    std::vector<ContainerPlacement> placements{{}};
    bool separate_copies = false;  ///< solids of its own for every placement, nothing shared
    bool doors = true;             ///< false: leaves and gear left out, an open end
    bool folded_roof = true;       ///< false: a flat sheet
    double panel_gap_mm = 0;       ///< between each panel and what frames it, up to 20
    LengthUnit unit = LengthUnit::millimetre;
};

struct SheetFacts {
    double projected_m2, developed_m2;
    double ratio() const { return developed_m2 / projected_m2; }
};

/// Closed forms of one container.
struct ContainerFacts {
    Vec3 outer_m;
    std::size_t n_solids, n_faces;
    double solids_m3;  ///< of all solids together
    SheetFacts side_wall, front_wall, roof;
    Vec3 clear_m;  ///< inner length, width and height between the innermost flats
    /// The room, troughs of the folds included, up to the inner face of the doors (or where it
    /// would be), on the plywood, with a panel gap of 0.
    double floor_m2, room_m3;
};

ContainerFacts container_facts(const ContainerOptions& options = {});

/// Throws std::runtime_error when the file cannot be written, std::invalid_argument for a gap out
/// of range or no placement.
ContainerFacts write_detailed_container(const std::filesystem::path& file,
                                        const ContainerOptions& options = {});

}  // namespace noonshell::test_support
