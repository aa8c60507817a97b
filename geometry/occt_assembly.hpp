// Private to geometry/: from the kernel's assembly tree to the bodies of a Model.
#pragma once

#include <cstdint>
#include <unordered_set>

#include "geometry/model.hpp"
#include "geometry/step_reader.hpp"

namespace noonshell {

struct OcctDocument;

/// What was met on the walk, whether or not it became a body.
struct AssemblyTally {
    int n_edges = 0;                                   ///< edges that belong to no face
    int n_vertices = 0;                                ///< points that belong to no edge
    std::unordered_set<const void*> faces_read;        ///< as SolidInFile::a_face
    std::unordered_set<std::uint32_t> operators_used;  ///< of mapped items, by entity
};

/// Walks the tree from its roots and appends bodies, faces, triangles and what is left out to
/// `model`, in the order of the file. A part that is placed many times is cut and measured once.
AssemblyTally read_assembly(const OcctDocument& loaded, const StepReadOptions& options,
                            Model& model);

}  // namespace noonshell
