// From bodies with roles to units: which bodies make a room, what its outer skin is, how large it
// is inside.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "geometry/face_tags.hpp"
#include "geometry/model.hpp"
#include "geometry/overhangs.hpp"
#include "geometry/patches.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// A pane that is a body of its own, in a wall of a unit.
struct UnitPane {
    std::string name;
    BodyId body;
    Patch patch;
};

struct UnitShape {
    std::string id;
    std::vector<BodyId> bodies;  ///< ascending
    std::vector<Patch> patches;  ///< of its outer skin
    std::vector<UnitPane> panes;
    std::vector<UnitOverhang> overhangs;  ///< what it carries beyond its walls
    double floor_area_m2 = 0;  ///< inside measure; 0: the caller takes it from the floor surface
    double volume_m3 = 0;      ///< 0: not known
    std::string how;
    std::vector<std::string> repaired{};  ///< what was mended, in plain words
};

struct UnitShapes {
    std::vector<UnitShape> units;
    /// Of roofs over several units (RoleChoice::roof_of) what no unit took for its own roof.
    std::map<BodyId, UnitOverhang> roof_rests;
};

/// One per unit, in the order of their first bodies. A body without triangles makes none.
/// Warnings: "unit-open" for openings and missing sides, in compass words, and for gaps too wide to
/// be closed, "small-parts-dropped", and "several-rooms" where a unit encloses rooms that do not
/// hang together, "roofed-outside" for loggias. Sides that a neighbour closes (the floor of the
/// storey above, the wall of the cabin beside) are `of_neighbour`.
UnitShapes shape_units(const Model& model, const std::vector<RoleChoice>& roles,
                       const TaggedFaces& tagged, double north_deg, std::vector<Warning>& warnings);

}  // namespace noonshell
