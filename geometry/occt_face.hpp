// Private to geometry/: one face of a part, measured and cut into triangles.
#pragma once

#include <NCollection_DataMap.hxx>
#include <TopTools_ShapeMapHasher.hxx>
#include <TopoDS_Face.hxx>
#include <optional>
#include <string>
#include <vector>

#include "geometry/occt_document.hpp"
#include "geometry/occt_flat_faces.hpp"
#include "geometry/occt_part.hpp"

namespace noonshell {

using ColourMap = NCollection_DataMap<TopoDS_Shape, Rgb, TopTools_ShapeMapHasher>;

/// What all faces of one part are read with.
struct PartContext {
    const ShapeOrigins& origins;
    const MappedNames& mapped_names;
    const StepReadOptions& options;
    ColourMap colours;  ///< of the part's faces and solids

    std::optional<Rgb> colour_of(const TopoDS_Shape& shape) const {
        const Rgb* found = colours.Seek(shape);
        return found == nullptr ? std::nullopt : std::optional(*found);
    }
};

/// A flat face with the triangles that cover it.
struct FlatFace {
    double area_m2 = 0;
    FlatTriangles mesh;
};

/// One for each face of `shape`; empty when one of them is not flat or needs the kernel's mesher,
/// which then cuts them all, so that neighbours share the points along their edges.
std::vector<FlatFace> cut_flat_faces(const TopoDS_Shape& shape);

/// Measures one face; it goes to the body's faces or, with a reason, to what is left out. False
/// when the body lost a face that matters. `flat`: the face cut already, or null.
bool read_face(const TopoDS_Face& face, FlatFace* flat, const TopoDS_Shape& in_file,
               const PartContext& context, PartBody& body);

/// Area of the surface, trimmed by its outline.
double area_of(const TopoDS_Shape& shape);

/// "#12"; empty for 0.
std::string entity_text(std::uint32_t number);

}  // namespace noonshell
