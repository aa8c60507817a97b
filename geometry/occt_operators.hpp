// Private to geometry/: occurrences that a transformation operator mirrors or scales. The CAD
// kernel reads such an operator as a rigid move; here the full one is put back.
#pragma once

#include <NCollection_DataMap.hxx>
#include <TDF_Label.hxx>
#include <TDF_LabelMapHasher.hxx>
#include <TopTools_ShapeMapHasher.hxx>
#include <TopoDS_Shape.hxx>
#include <cstddef>
#include <cstdint>
#include <gp_Trsf.hxx>
#include <vector>

class STEPCAFControl_Reader;
class TDocStd_Document;

namespace noonshell {

/// A shape that a mapped item places, where the kernel put it.
struct MappedShape {
    TopoDS_Shape shape;
    gp_Trsf placement;          ///< full placement, in place of the shape's own location
    std::uint32_t step_entity;  ///< of the operator; 0 where none mirrors or scales
};

struct OperatorPlacements {
    NCollection_DataMap<TDF_Label, gp_Trsf, TDF_LabelMapHasher> of_occurrence;
    std::vector<MappedShape> of_mapped_item;  ///< all of them; none where no operator is found
    std::vector<std::uint32_t> not_kept;      ///< operators whose occurrence was not found

    /// The full placement of a shape that a mapped item placed; null where there is none.
    const MappedShape* of(const TopoDS_Shape& shape) const;
};

/// Which mapped item a group of faces came through.
class MappedFaces {
  public:
    explicit MappedFaces(const OperatorPlacements& operators);

    /// The mapped item of a group of faces; a group that comes again goes through the next item
    /// that placed it there. Null where none did.
    const MappedShape* next(const TopoDS_Shape& group);

  private:
    const OperatorPlacements& operators_;
    NCollection_DataMap<TopoDS_Shape, std::vector<std::size_t>, TopTools_ShapeMapHasher> by_face_;
    NCollection_DataMap<TopoDS_Shape, std::size_t, TopTools_ShapeMapHasher> n_seen_;
};

/// Finds every operator of the file that mirrors or scales, and the occurrence it belongs to.
/// Operator axes are taken as ISO 10303-42 derives them (function base_axis): the third from
/// axis3, the first from axis1 made square to it, the second square to both on the side of axis2.
OperatorPlacements find_operator_placements(const STEPCAFControl_Reader& reader,
                                            const TDocStd_Document& document);

}  // namespace noonshell
