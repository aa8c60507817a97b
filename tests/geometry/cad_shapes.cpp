#include "tests/geometry/cad_shapes.hpp"

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBuilderAPI_Copy.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeSphere.hxx>
#include <BRep_Builder.hxx>
#include <Geom_BSplineSurface.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Controller.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Solid.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_GraphNode.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <gp_Pln.hxx>
#include <numbers>
#include <stdexcept>
#include <utility>
#include <vector>

namespace noonshell::cad_shapes {

namespace {

/// Shapes are made in metres and told to the kernel as millimetres of a metre-sized world.
constexpr double mm = 1000.0;

gp_Trsf moved(double x, double y, double z) {
    gp_Trsf move;
    move.SetTranslation(gp_Vec(x, y, z) * mm);
    return move;
}

TopoDS_Solid box(double x, double y, double z) {
    return BRepPrimAPI_MakeBox(x * mm, y * mm, z * mm).Solid();
}

class CadFile {
  public:
    CadFile()
        : document_(new TDocStd_Document("BinXCAF")),
          shapes(XCAFDoc_DocumentTool::ShapeTool(document_->Main())),
          colours(XCAFDoc_DocumentTool::ColorTool(document_->Main())) {}

    TDF_Label part(const TopoDS_Shape& shape, const char* name) {
        const TDF_Label label = shapes->AddShape(shape, false);
        TDataStd_Name::Set(label, name);
        return label;
    }
    TDF_Label assembly(const char* name) {
        const TDF_Label label = shapes->NewShape();
        TDataStd_Name::Set(label, name);
        return label;
    }
    void place(const TDF_Label& in, const TDF_Label& what, const gp_Trsf& where, const char* name) {
        TDataStd_Name::Set(shapes->AddComponent(in, what, TopLoc_Location(where)), name);
    }
    void write(const Path& file) {
        Message::DefaultMessenger()->ChangePrinters().Clear();
        shapes->UpdateAssemblies();
        STEPCAFControl_Controller::Init();
        Interface_Static::SetCVal("xstep.cascade.unit", "MM");
        Interface_Static::SetCVal("write.step.unit", "MM");
        Interface_Static::SetCVal("write.step.schema", "AP214IS");
        STEPCAFControl_Writer writer;  // takes the settings when it is made
        writer.SetSHUOMode(true);
        if (!writer.Transfer(document_, STEPControl_AsIs) ||
            writer.Write(file.string().c_str()) != IFSelect_RetDone) {
            throw std::runtime_error("cannot write " + file.string());
        }
    }

  private:
    opencascade::handle<TDocStd_Document> document_;

  public:
    opencascade::handle<XCAFDoc_ShapeTool> shapes;
    opencascade::handle<XCAFDoc_ColorTool> colours;
};

std::vector<TopoDS_Face> faces_of(const TopoDS_Shape& shape) {
    std::vector<TopoDS_Face> faces;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        faces.push_back(TopoDS::Face(it.Current()));
    }
    return faces;
}

TopoDS_Shell shell_of(const std::vector<TopoDS_Face>& faces) {
    BRep_Builder builder;
    TopoDS_Shell shell;
    builder.MakeShell(shell);
    for (const auto& face : faces) builder.Add(shell, face);
    return shell;
}

TopoDS_Solid solid_of(const TopoDS_Shell& shell) {
    BRep_Builder builder;
    TopoDS_Solid solid;
    builder.MakeSolid(solid);
    builder.Add(solid, shell);
    return solid;
}

TopoDS_Compound loose(const std::vector<TopoDS_Face>& faces) {
    BRep_Builder builder;
    TopoDS_Compound compound;
    builder.MakeCompound(compound);
    // Each copy has edges of its own.
    for (const auto& face : faces) builder.Add(compound, BRepBuilderAPI_Copy(face).Shape());
    return compound;
}

TopoDS_Shape box_in_form(BoxForm form) {
    // The kernel lists a box's faces as -x, +x, -y, +y, -z, +z: the last is the top.
    std::vector<TopoDS_Face> faces = faces_of(box(4, 2, 3));
    const std::vector<TopoDS_Face> without_top(faces.begin(), faces.end() - 1);
    switch (form) {
        case BoxForm::sound:
            return solid_of(shell_of(faces));
        case BoxForm::inside_out: {
            for (auto& face : faces) face.Reverse();
            return solid_of(shell_of(faces));
        }
        case BoxForm::one_face_turned: {
            faces[2].Reverse();
            return solid_of(shell_of(faces));
        }
        case BoxForm::closed_shell:
            return shell_of(faces);
        case BoxForm::open_shell:
            return shell_of(without_top);
        case BoxForm::six_loose_faces:
            return loose(faces);
        case BoxForm::five_loose_faces:
            return loose(without_top);
        case BoxForm::gaping_solid:
            return solid_of(shell_of(without_top));
    }
    throw std::logic_error("no such form");
}

TopoDS_Shape wedge() {
    BRepBuilderAPI_MakePolygon outline;
    outline.Add(gp_Pnt(1 * mm, 0, 0));
    outline.Add(gp_Pnt(5 * mm, 0, 0));
    outline.Add(gp_Pnt(1 * mm, 3 * mm, 0));
    outline.Close();
    return BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(outline.Wire()).Face(),
                                 gp_Vec(0, 0, 2 * mm))
        .Shape();
}

}  // namespace

void write_nested_assembly(const Path& file) {
    CadFile cad;
    const TDF_Label part = cad.part(box(6, 2, 3), "box");
    const TDF_Label stack = cad.assembly("stack");
    cad.place(stack, part, moved(1, 2, 0), "low");
    cad.place(stack, part, moved(1, 2, 3), "high");
    const TDF_Label yard = cad.assembly("yard");
    gp_Trsf turn;
    turn.SetRotation(gp::OZ(), std::numbers::pi / 2);
    cad.place(yard, stack, moved(0, 0, 1), "stack-a");
    cad.place(yard, stack, moved(20, 0, 0) * turn, "stack-b");
    cad.write(file);
}

void write_coloured_faces(const Path& file) {
    CadFile cad;
    const TopoDS_Solid solid = box(4, 2, 3);
    const TDF_Label part = cad.part(solid, "box");
    cad.colours->SetColor(part, Quantity_Color(0, 0, 1, Quantity_TOC_RGB), XCAFDoc_ColorSurf);
    const auto faces = faces_of(solid);
    const auto paint = [&](const TopoDS_Face& face, double red, double green) {
        cad.colours->SetColor(cad.shapes->AddSubShape(part, face),
                              Quantity_Color(red, green, 0, Quantity_TOC_RGB), XCAFDoc_ColorSurf);
    };
    paint(faces[0], 1, 0);
    paint(faces[5], 0, 1);
    cad.write(file);
}

void write_mirrored_wedge(const Path& file) {
    CadFile cad;
    gp_Trsf mirror;
    mirror.SetMirror(gp_Ax2(gp::Origin(), gp::DX()));
    cad.part(wedge(), "wedge");
    cad.part(BRepBuilderAPI_Transform(wedge(), mirror, true).Shape(), "mirrored");
    cad.write(file);
}

void write_box(const Path& file, BoxForm form) {
    CadFile cad;
    cad.part(box_in_form(form), "box");
    cad.write(file);
}

void write_two_solids_in_one_part(const Path& file) {
    BRep_Builder builder;
    TopoDS_Compound pair;
    builder.MakeCompound(pair);
    builder.Add(pair, box(1, 1, 1));
    builder.Add(pair, BRepBuilderAPI_Transform(box(1, 1, 1), moved(5, 0, 0), true).Shape());
    CadFile cad;
    cad.part(pair, "pair");
    cad.write(file);
}

void write_hollow_box(const Path& file) {
    const TopoDS_Shape hole =
        BRepBuilderAPI_Transform(box(5, 2, 2), moved(0.5, 0.5, 0.5), true).Shape();
    CadFile cad;
    cad.part(BRepAlgoAPI_Cut(box(6, 3, 3), hole).Shape(), "hollow");
    cad.write(file);
}

void write_round_bodies(const Path& file) {
    CadFile cad;
    cad.part(BRepPrimAPI_MakeCylinder(1 * mm, 2 * mm).Solid(), "cylinder");
    cad.part(BRepPrimAPI_MakeSphere(gp_Pnt(5 * mm, 0, 0), 1 * mm).Solid(), "sphere");
    cad.write(file);
}

void write_flat_spline(const Path& file) {
    TColgp_Array2OfPnt poles(1, 2, 1, 2);
    for (int i = 1; i <= 2; ++i) {
        for (int j = 1; j <= 2; ++j) poles(i, j) = gp_Pnt((i - 1) * 2 * mm, (j - 1) * 2 * mm, 0);
    }
    TColStd_Array1OfReal knots(1, 2);
    knots(1) = 0;
    knots(2) = 1;
    TColStd_Array1OfInteger multiplicities(1, 2);
    multiplicities.Init(2);
    const opencascade::handle<Geom_BSplineSurface> surface =
        new Geom_BSplineSurface(poles, knots, knots, multiplicities, multiplicities, 1, 1);
    CadFile cad;
    cad.part(BRepBuilderAPI_MakeFace(surface, 1e-6).Face(), "sheet");
    cad.write(file);
}

void write_double_faces(const Path& file, DoubleForm form) {
    std::vector<TopoDS_Face> faces = faces_of(box(4, 2, 3));
    const TopoDS_Face top = faces.back();
    CadFile cad;
    switch (form) {
        case DoubleForm::same_face_listed_twice:
            faces.push_back(top);
            cad.part(solid_of(shell_of(faces)), "box");
            break;
        case DoubleForm::copy_in_the_shell:
            faces.push_back(TopoDS::Face(BRepBuilderAPI_Copy(top).Shape()));
            cad.part(solid_of(shell_of(faces)), "box");
            break;
        case DoubleForm::copy_among_loose_faces:
            faces.push_back(top);
            cad.part(loose(faces), "box");
            break;
        case DoubleForm::near_copy_in_the_shell:
        case DoubleForm::near_copy_among_loose_faces: {
            const TopoDS_Shape copy =
                BRepBuilderAPI_Transform(top, moved(0, 0, 0.0002), true).Shape();
            faces.push_back(TopoDS::Face(copy));
            const bool shell = form == DoubleForm::near_copy_in_the_shell;
            cad.part(shell ? TopoDS_Shape(solid_of(shell_of(faces))) : loose(faces), "box");
            break;
        }
        case DoubleForm::copy_first_in_the_shell:
            faces.insert(faces.begin(), TopoDS::Face(BRepBuilderAPI_Copy(top).Shape()));
            cad.part(solid_of(shell_of(faces)), "box");
            break;
        case DoubleForm::half_in_the_shell:
        case DoubleForm::half_among_loose_faces: {
            faces.push_back(faces_of(box(2, 2, 3)).back());
            const bool shell = form == DoubleForm::half_in_the_shell;
            cad.part(shell ? TopoDS_Shape(solid_of(shell_of(faces))) : loose(faces), "box");
            break;
        }
    }
    cad.write(file);
}

void write_box_twice(const Path& file) {
    CadFile cad;
    cad.part(box(4, 2, 3), "first");
    cad.part(box(4, 2, 3), "second");
    cad.part(BRepBuilderAPI_Transform(box(4, 2, 3), moved(10, 0, 0), true).Shape(), "beside");
    cad.write(file);
}

void write_crossing_outline(const Path& file) {
    BRepBuilderAPI_MakePolygon outline;
    for (const auto& [x, y] : {std::pair{0.0, 0.0}, {2.0, 2.0}, {2.0, 0.0}, {0.0, 2.0}}) {
        outline.Add(gp_Pnt(x * mm, y * mm, 10 * mm));
    }
    outline.Close();
    const gp_Pln plane(gp_Pnt(0, 0, 10 * mm), gp::DZ());
    CadFile cad;
    cad.part(box(4, 2, 3), "box");
    cad.part(BRepBuilderAPI_MakeFace(plane, outline.Wire()).Face(), "sheet");
    cad.write(file);
}

void write_styled_occurrence(const Path& file) {
    const auto paint = [](CadFile& cad, const TDF_Label& label, double r, double g, double b) {
        cad.colours->SetColor(label, Quantity_Color(r, g, b, Quantity_TOC_RGB), XCAFDoc_ColorSurf);
    };
    CadFile cad;
    const TDF_Label part = cad.part(box(4, 2, 3), "box");
    paint(cad, part, 0, 0, 1);
    const TDF_Label stack = cad.assembly("stack");
    cad.place(stack, part, moved(0, 0, 0), "low");
    cad.place(stack, part, moved(0, 0, 3), "high");
    const TDF_Label yard = cad.assembly("yard");
    cad.place(yard, stack, moved(0, 0, 0), "left");
    cad.place(yard, stack, moved(20, 0, 0), "right");
    cad.shapes->UpdateAssemblies();
    TDF_LabelSequence in_stack, in_yard;
    XCAFDoc_ShapeTool::GetComponents(stack, in_stack);
    XCAFDoc_ShapeTool::GetComponents(yard, in_yard);
    paint(cad, in_stack.Value(1), 0, 1, 0);
    TDF_LabelSequence way;
    way.Append(in_yard.Value(2));
    way.Append(in_stack.Value(2));
    opencascade::handle<XCAFDoc_GraphNode> style;
    if (!cad.shapes->SetSHUO(way, style)) throw std::runtime_error("no style for an occurrence");
    paint(cad, style->Label(), 1, 0, 0);
    cad.write(file);
}

void write_wire(const Path& file) {
    CadFile cad;
    cad.part(BRepBuilderAPI_MakeEdge(gp_Pnt(0, 0, 0), gp_Pnt(3 * mm, 0, 0)).Edge(), "line");
    cad.write(file);
}

}  // namespace noonshell::cad_shapes
