#include "tests/support/folded_shades.hpp"

#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRep_Builder.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Solid.hxx>
#include <gp_Ax1.hxx>
#include <gp_Pln.hxx>
#include <gp_Trsf.hxx>
#include <gp_Vec.hxx>
#include <numbers>
#include <utility>

#include "tests/support/cad_document.hpp"

namespace noonshell::test_support {

namespace {

constexpr double mm = 1000;

void write_over_hut(const std::filesystem::path& file, const TopoDS_Shape& shade,
                    const std::string& name) {
    CadDocument document;
    document.part(BRepPrimAPI_MakeBox(4 * mm, 3 * mm, 2.5 * mm).Solid(), "hut");
    document.part(shade, name);
    document.write(file, LengthUnit::millimetre);
}

}  // namespace

void write_folded_shade(const std::filesystem::path& file, const FoldedSheet& sheet, double depth_m,
                        double z_m) {
    const double top_mm = z_m * mm + sheet.fold.depth_mm + sheet.thickness_mm;
    BRepBuilderAPI_MakePolygon outline;
    for (const auto& [along, depth] : sheet.outline_mm()) {
        outline.Add(gp_Pnt(along, 0, top_mm - depth));
    }
    outline.Close();
    const gp_Vec along_y(0, depth_m * mm, 0);
    write_over_hut(
        file, BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(outline.Wire(), true), along_y).Shape(),
        "shade");
}

void write_slats(const std::filesystem::path& file, int n, double width_m, double pitch_m) {
    BRep_Builder builder;
    TopoDS_Compound slats;
    builder.MakeCompound(slats);
    for (int i = 0; i < n; ++i) {
        const TopoDS_Shape flat = BRepPrimAPI_MakeBox(width_m * mm, 2 * mm, 4).Solid();
        gp_Trsf turn, place;
        turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0)), std::numbers::pi / 4);
        place.SetTranslation(gp_Vec(i * pitch_m * mm, 0, 3 * mm));
        builder.Add(slats, BRepBuilderAPI_Transform(flat, place * turn, true).Shape());
    }
    write_over_hut(file, slats, "slats");
}

void write_sheet_shade(const std::filesystem::path& file, double z_m, bool facing_up) {
    BRepBuilderAPI_MakePolygon outline;
    for (const auto& [x, y] : {std::pair{-1, -1}, {5, -1}, {5, 4}, {-1, 4}}) {
        outline.Add(gp_Pnt(x * mm, y * mm, z_m * mm));
    }
    outline.Close();
    const gp_Pln plane(gp_Pnt(0, 0, z_m * mm), gp_Dir(0, 0, facing_up ? 1 : -1));
    write_over_hut(file, BRepBuilderAPI_MakeFace(plane, outline.Wire()).Shape(), "sail");
}

}  // namespace noonshell::test_support
