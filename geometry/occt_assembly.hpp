// Private to geometry/: from the kernel's assembly tree to the bodies of a Model.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <unordered_set>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/step_reader.hpp"

namespace noonshell {

struct OcctDocument;

/// The places of one part.
struct CountedPart {
    std::string name;       ///< at its first place
    std::uint32_t n = 0;    ///< places
    double sum_scale2 = 0;  ///< over all places, of the square of the scale
};

/// A part that gave no body, at one place.
struct EmptyPart {
    std::uint32_t definition = 0;  ///< product_definition; 0 where unknown
    std::string name;
    bool curves = false;  ///< it holds curves or points
};

/// What was met on the walk, whether or not it became a body.
struct AssemblyTally {
    int n_edges = 0;                                   ///< edges that belong to no face
    int n_vertices = 0;                                ///< points that belong to no edge
    std::unordered_set<const void*> faces_read;        ///< as SolidInFile::a_face
    std::unordered_set<std::uint32_t> face_entities;   ///< of the faces of parts that were walked
    std::unordered_set<std::uint32_t> operators_used;  ///< of mapped items, by entity
    std::map<std::uint32_t, CountedPart> parts;        ///< by product_definition
    std::vector<EmptyPart> empty_parts;
};

/// Walks the tree from its roots and appends bodies, faces, triangles and what is left out to
/// `model`, in the order of the file; losses of all kinds are told (occt_losses.hpp). A part that
/// is placed many times is cut and measured once.
AssemblyTally read_assembly(const OcctDocument& loaded, const StepReadOptions& options,
                            Model& model);

}  // namespace noonshell
