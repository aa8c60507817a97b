// Private to geometry/: names of shapes that mapped items place (MAPPED_ITEM of ISO 10303-43): many
// programs name the occurrence so, or what it maps.
#pragma once

#include <NCollection_DataMap.hxx>
#include <TopTools_ShapeMapHasher.hxx>
#include <TopoDS_Shape.hxx>
#include <string>

class STEPCAFControl_Reader;

namespace noonshell {

/// By face where the item placed it.
class MappedNames {
  public:
    /// The name of the mapped item itself, or of the product whose shape it maps, or of the mapped
    /// representation; of items within each other the outermost counts.
    static MappedNames find(const STEPCAFControl_Reader& reader);

    /// Of a group of faces that is called `own_name`: of the item that placed it, unless that
    /// placed several which have names of their own.
    std::string of(const TopoDS_Shape& group, const std::string& own_name) const;

  private:
    struct ItemName {
        std::string name;
        bool of_several = false;
    };
    NCollection_DataMap<TopoDS_Shape, ItemName, TopTools_ShapeMapHasher> by_face_;
};

}  // namespace noonshell
