// Private to geometry/: faces that a STEP file gives as triangles (ISO 10303-42).
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "geometry/step_records.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

struct TessellatedFace {
    std::uint32_t entity = 0;
    std::string name;
    std::vector<Vec3> points;                             ///< in the file's unit
    std::vector<std::array<std::uint32_t, 3>> triangles;  ///< indices into points
    bool stands_for_brep = false;                         ///< linked to a face of a B-rep
    bool readable = false;
};

/// Numbers of all tessellated faces and surface sets of the file, by kind.
std::vector<std::uint32_t> tessellated_faces(const StepRecords& records);

/// One of them, with its strips and fans taken apart; `readable` says whether it is sound.
TessellatedFace read_tessellated_face(const StepRecords& records, std::uint32_t entity);

}  // namespace noonshell
