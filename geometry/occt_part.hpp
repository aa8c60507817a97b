// Private to geometry/: the bodies of one part, measured and cut into triangles in the part's own
// axes. A part that is placed many times is worked on once.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/step_reader.hpp"

class TDF_Label;

namespace noonshell {

struct OcctDocument;
struct Mended;

struct PartFace {
    double area_m2 = 0;
    bool planar = false;
    std::uint32_t step_entity = 0;
    std::string name;
    std::optional<Rgb> colour;
    std::vector<Vec3> vertices_m;
    std::vector<std::array<std::uint32_t, 3>> triangles;  ///< counter-clockwise from outside
};

struct PartBody {
    std::string name;  ///< of the solid itself; empty where it has none
    std::optional<Rgb> colour;
    bool solid = false;
    bool meant_solid = false;  ///< a solid in the file, even if its faces leave gaps
    double area_m2 = 0;
    double volume_m3 = 0;
    double chord_m = 0;  ///< largest distance between a curved face and its triangles
    std::uint32_t step_entity = 0;
    std::vector<PartFace> faces;
    std::vector<std::string> repaired;
    std::vector<LeftOut> left_out;  ///< faces; their areas are in the part's own axes
};

struct Part {
    std::optional<Rgb> colour;
    std::vector<PartBody> bodies;
    std::vector<const void*> faces_in_file;     ///< as SolidInFile::a_face
    std::vector<std::uint32_t> face_entities;   ///< of the same faces, by entity; 0 where unknown
    std::vector<std::uint32_t> operators_used;  ///< mapped items that mirror or scale, by entity
    bool fell_apart = false;  ///< all bodies come from one closed shell that lost its coherence
    int n_edges = 0;          ///< edges that belong to no face
    int n_vertices = 0;       ///< points that belong to no edge
};

/// The colour given to the shape that `label` stands for, not inherited from elsewhere.
std::optional<Rgb> own_colour(const TDF_Label& label);

/// Takes the part at `label` apart into bodies.
Part read_part(const TDF_Label& label, const OcctDocument& loaded, const StepReadOptions& options);

}  // namespace noonshell
