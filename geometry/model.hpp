// What a STEP file holds, in metres, Z up: bodies with the user's names, faces, and a triangle mesh
// that knows which face each triangle came from. No type of the CAD kernel appears here.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/ids.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// From 0 to 1 as screens show them (sRGB, IEC 61966-2-1), the numbers of COLOUR_RGB in the file.
using Rgb = std::array<float, 3>;

/// Triangles in flat arrays, in metres. Counter-clockwise seen from outside the body.
struct TriangleMesh {
    std::vector<Vec3> vertices_m;
    std::vector<std::array<std::uint32_t, 3>> triangles;  ///< #triangles by 3 vertex indices
    std::vector<FaceId> triangle_face;                    ///< #triangles

    Vec3 corner(std::size_t triangle, int k) const {
        return vertices_m[triangles[triangle][static_cast<std::size_t>(k)]];
    }
};

/// One B-rep face.
struct Face {
    BodyId body;
    double area_m2 = 0;  ///< of the B-rep, not of the triangles
    bool planar = false;
    std::uint32_t first_triangle = 0;  ///< its triangles are consecutive in Model::mesh
    std::uint32_t n_triangles = 0;
    std::uint32_t step_entity = 0;  ///< number after '#' in the file; 0 where unknown
    std::string name;               ///< empty where the user gave none
    std::optional<Rgb> colour;
};

/// One place of an assembly in the tree. An assembly that is placed twice stands here twice.
struct Assembly {
    std::string id;    ///< unique among the assemblies: the name, with "-2", "-3"... for repeats
    std::string name;  ///< as the CAD user gave it; empty where it has none
    std::string path;  ///< names from the root down to this one, joined by '/'
    std::int32_t parent =
        -1;  ///< index into Model::assemblies, smaller than its own; -1 at the root
};

/// One solid or shell.
struct Body {
    std::string id;              ///< unique in the model: the name, with "-2", "-3"... for repeats
    std::string name;            ///< as the CAD user gave it
    std::string path;            ///< assembly path, names joined by '/'
    std::int32_t assembly = -1;  ///< the innermost that holds it, into Model::assemblies; -1: none
    std::uint32_t part = 0;      ///< bodies that are the same solid placed again share this number
    std::optional<Rgb> colour;
    bool solid = false;  ///< a closed solid; false for a shell or loose faces
    double area_m2 = 0;
    double volume_m3 = 0;          ///< 0 for what is not closed
    std::uint32_t first_face = 0;  ///< its faces are consecutive in Model::faces
    std::uint32_t n_faces = 0;
    std::vector<std::string> repaired;  ///< what was mended, in plain words
    std::uint32_t step_entity = 0;      ///< of the solid or shell in the file; 0 where unknown
};

/// What could not be used, with its reason. Things of one body that were left out for the same
/// reason stand together.
struct LeftOut {
    std::string entity;  ///< "#123" where known; of several the first: "#1, #2, #3 and 4 more"
    std::string name;    ///< its own; empty where it has none
    std::string reason;
    double area_m2 = 0;       ///< all together; where it is not known, what could be measured of it
    bool is_double = false;   ///< the same stands in the model once: nothing is lost
    bool area_known = true;   ///< false: the area lost is larger than area_m2
    std::string body{};       ///< body or product that it belongs to, or that is lost as a whole
    std::uint32_t count = 1;  ///< entities that stand together
};

struct Model {
    std::string file;
    std::string schema;       ///< e.g. "AP214 (AUTOMOTIVE_DESIGN)"
    std::string length_unit;  ///< as named in the file, e.g. "millimetre"
    std::string up = "z";     ///< axis of the file that points up; the model itself has +Z up
    std::array<double, 6> bbox_m{};    ///< xmin, ymin, zmin, xmax, ymax, zmax
    std::vector<Assembly> assemblies;  ///< parents before their children
    std::vector<Body> bodies;
    std::vector<Face> faces;
    TriangleMesh mesh;
    std::vector<LeftOut> left_out;
    /// Area left out over the area of bodies and left out together; what stands there twice is no
    /// loss, and of an area that is unknown only what could be measured counts.
    double lost_area_share = 0;
    std::vector<Warning> warnings;
};

}  // namespace noonshell
