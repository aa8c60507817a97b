// Private to geometry/: faces that stand twice at the same place in one shape.
#pragma once

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>
#include <functional>
#include <vector>

namespace noonshell {

struct WithoutDoubles {
    TopoDS_Shape shape;
    std::vector<TopoDS_Face> doubles;  ///< taken out; the first of each pair stays
};

/// Two faces are doubles when they have the same corners and the same area, centre and moments of
/// inertia. Where the shape is no solid, a flat face is one as well that lies on another, no
/// smaller one to 0.4 mm (thinner sheet is not drawn with both its sides). The shape comes back as
/// it was when it has none. Faces that are doubles of one of `others` are taken out as well.
/// `alike` says whether a face may go for another: one of a colour or a name of its own marks
/// something.
using FacesAlike = std::function<bool(const TopoDS_Face&, const TopoDS_Face&)>;
WithoutDoubles without_double_faces(const TopoDS_Shape& shape,
                                    const std::vector<TopoDS_Face>& others,
                                    const FacesAlike& alike);

}  // namespace noonshell
