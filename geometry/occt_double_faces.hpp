// Private to geometry/: faces that stand twice at the same place in one shape.
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <vector>

namespace noonshell {

struct WithoutDoubles {
    TopoDS_Shape shape;
    std::vector<TopoDS_Face> doubles;  ///< taken out; the first of each pair stays
};

/// Two faces are doubles when they have the same corners and the same area, centre and moments of
/// inertia. The shape comes back as it was when it has none. Faces that are doubles of one of
/// `others` are taken out as well.
WithoutDoubles without_double_faces(const TopoDS_Shape& shape,
                                    const std::vector<TopoDS_Face>& others = {});

}  // namespace noonshell
