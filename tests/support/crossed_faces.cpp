#include "tests/support/crossed_faces.hpp"

#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRep_Builder.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Wire.hxx>
#include <array>
#include <gp_Pln.hxx>

#include "tests/support/cad_document.hpp"

namespace noonshell::test_support {

namespace {

using Quad = std::array<gp_Pnt, 4>;

TopoDS_Shape face_of(const Quad& q) {
    return BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakePolygon(q[0], q[1], q[2], q[3], true).Wire(),
                                   true)
        .Face();
}

/// In a plane that faces up.
TopoDS_Shape crossed_face(const Quad& q) {
    const TopoDS_Wire wire = BRepBuilderAPI_MakePolygon(q[0], q[2], q[1], q[3], true).Wire();
    return BRepBuilderAPI_MakeFace(gp_Pln(q[0], gp_Dir(0, 0, 1)), wire, true).Face();
}

}  // namespace

void write_bow_tie(const std::filesystem::path& file, bool alone) {
    const double x = 6000, y = 4000, z = 3000;
    const Quad low{gp_Pnt(0, 0, 0), gp_Pnt(x, 0, 0), gp_Pnt(x, y, 0), gp_Pnt(0, y, 0)};
    const Quad top{gp_Pnt(0, 0, z), gp_Pnt(x, 0, z), gp_Pnt(x, y, z), gp_Pnt(0, y, z)};
    BRep_Builder builder;
    TopoDS_Shell shell;
    builder.MakeShell(shell);
    builder.Add(shell, crossed_face(top));
    if (!alone) {
        builder.Add(shell, face_of({low[3], low[2], low[1], low[0]}));
        for (std::size_t k = 0; k < 4; ++k) {
            const std::size_t next = (k + 1) % 4;
            builder.Add(shell, face_of({low[k], low[next], top[next], top[k]}));
        }
    }
    CadDocument document;
    document.part(shell, alone ? "sail" : "hut");
    document.write(file, LengthUnit::millimetre);
}

}  // namespace noonshell::test_support
