// Private to geometry/: a STEP file translated by the CAD kernel, with what the translation knows
// about each face's origin in the file.
#pragma once

#include <TDocStd_Document.hxx>
#include <cstdint>
#include <functional>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/occt_mapped_names.hpp"
#include "geometry/occt_operators.hpp"
#include "geometry/occt_session.hpp"
#include "geometry/occt_survey.hpp"
#include "geometry/occt_units.hpp"

class TopoDS_Shape;

namespace noonshell {

/// Where a shape came from in the file.
struct ShapeOrigin {
    std::uint32_t step_entity = 0;
    std::string name;       ///< of the representation item; empty where the exporter put a filler
    bool reversed = false;  ///< the file has the shape against its geometry's own direction
    bool solid = false;     ///< a solid of the file, also where its faces leave gaps
};

/// Origins by shape, whatever the shape's placement and orientation.
class ShapeOrigins {
  public:
    void add(const TopoDS_Shape& shape, ShapeOrigin origin);
    /// The origin of `shape`; a blank one where it is unknown.
    const ShapeOrigin& of(const TopoDS_Shape& shape) const;

    std::unordered_set<std::uint32_t> in_pieces;  ///< faces that the kernel cut into several

  private:
    std::unordered_map<const void*, ShapeOrigin> by_shape_;
};

/// A solid that stands in the file, whether or not an assembly places it.
struct SolidInFile {
    std::uint32_t step_entity = 0;
    std::string name;
    const void* a_face = nullptr;  ///< identity of one of its faces; null if not translated
};

/// An entity with errors of syntax or content.
struct FaultyEntity {
    std::uint32_t step_entity = 0;
    std::string complaint;  ///< of the CAD kernel
};

struct OcctDocument {
    opencascade::handle<TDocStd_Document> document;  ///< lengths in metres
    ShapeOrigins origins;                            ///< of faces, shells and solids
    std::vector<SolidInFile> solids;
    std::vector<FileLengthUnit> length_units;          ///< each once
    std::vector<std::uint32_t> contexts_without_unit;  ///< their numbers were taken for metres
    OperatorPlacements operators;                      ///< occurrences that are mirrored or scaled
    MappedNames mapped_names;
    FileSurvey survey;
    std::uint32_t n_faulty = 0;                ///< entities with errors of syntax or content
    std::uint32_t first_faulty = 0;            ///< number of the first of them
    std::vector<FaultyEntity> faulty;          ///< in the order of the file
    std::vector<std::uint32_t> unknown_types;  ///< entities of types that the kernel does not know
    bool any_error = false;  ///< an entity is faulty, if only one without a part in the shape
    std::vector<std::uint32_t> faces;  ///< all faces with a surface, in the order of the file
    std::unordered_map<std::uint32_t, const void*> face_shapes;        ///< of those made, by entity
    std::unordered_map<std::uint32_t, std::uint32_t> closed_shell_of;  ///< by face, both by entity
    std::unordered_map<int, std::uint32_t> definition_of_label;  ///< product_definition, by tag
    std::unordered_map<std::uint32_t, std::string> names;  ///< of items of shape and of products'
                                                           ///< definitions, by entity
    std::function<std::string()> file_text;                ///< what the kernel parsed
    std::vector<LeftOut> not_translated;                   ///< faces that the kernel could not make
};

struct LoadOptions {
    bool utf8 = true;           ///< false: names are read as ISO 8859-1
    bool may_be_empty = false;  ///< a file with nothing that the kernel can translate is no error
    const std::string* text = nullptr;  ///< read in place of what the file holds
};

/// Reads and translates `file`; `session` keeps the kernel quiet meanwhile. Throws InputError when
/// the file does not parse or nothing can be translated.
OcctDocument load_document(const std::string& file, const LoadOptions& options,
                           OcctSession& session);

}  // namespace noonshell
