#include "geometry/occt_part.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRepGProp.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <Eigen/Geometry>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <NCollection_DataMap.hxx>
#include <Poly_Triangulation.hxx>
#include <Quantity_Color.hxx>
#include <TDF_ChildIterator.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ShapeMapHasher.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <cmath>
#include <numbers>

#include "geometry/occt_document.hpp"
#include "geometry/occt_repair.hpp"

namespace noonshell {

namespace {

/// Below these a face or triangle is a leftover of modelling, not a surface: 0.1 mm by 1 mm, and
/// what is left of that when it is cut into slivers.
constexpr double least_face_area_m2 = 1e-7;
constexpr double least_triangle_area_m2 = 1e-12;

/// Beyond this a face has no bounds: the kernel gives such a plane about 1e100 m2.
constexpr double largest_face_area_m2 = 1e12;

/// How far a spline surface may leave a plane and still count as planar.
constexpr double planar_tolerance_m = 1e-5;

using ColourMap = NCollection_DataMap<TopoDS_Shape, Rgb, TopTools_ShapeMapHasher>;

/// What all faces of one part are read with.
struct PartContext {
    const ShapeOrigins& origins;
    const StepReadOptions& options;
    ColourMap colours;  ///< of the part's faces and solids

    std::optional<Rgb> colour_of(const TopoDS_Shape& shape) const {
        const Rgb* found = colours.Seek(shape);
        return found == nullptr ? std::nullopt : std::optional(*found);
    }
};

/// The kernel's search by shape goes through the whole document each time; one walk over the
/// part's labels gives all colours at once.
ColourMap colours_of_subshapes(const TDF_Label& part) {
    ColourMap colours;
    for (TDF_ChildIterator it(part, true); it.More(); it.Next()) {
        if (!XCAFDoc_ShapeTool::IsSubShape(it.Value())) continue;
        const auto colour = own_colour(it.Value());
        if (colour) colours.Bind(XCAFDoc_ShapeTool::GetShape(it.Value()), *colour);
    }
    return colours;
}

bool is_planar(const TopoDS_Face& face) {
    const BRepAdaptor_Surface surface(face, false);
    switch (surface.GetType()) {
        case GeomAbs_Plane:
            return true;
        case GeomAbs_BezierSurface:
        case GeomAbs_BSplineSurface:
        case GeomAbs_SurfaceOfExtrusion:
        case GeomAbs_OffsetSurface:
            return GeomLib_IsPlanarSurface(BRep_Tool::Surface(face), planar_tolerance_m).IsPlanar();
        default:
            return false;
    }
}

double area_of(const TopoDS_Shape& shape) {
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(shape, properties);
    return properties.Mass();
}

void take_triangles(const TopoDS_Face& face, PartFace& out) {
    TopLoc_Location location;
    const auto mesh = BRep_Tool::Triangulation(face, location);
    if (mesh.IsNull()) return;
    const gp_Trsf place = location.Transformation();
    for (int i = 1; i <= mesh->NbNodes(); ++i) {
        const gp_Pnt p = mesh->Node(i).Transformed(place);
        out.vertices_m.emplace_back(p.X(), p.Y(), p.Z());
    }
    const bool turn = (face.Orientation() == TopAbs_REVERSED) != place.IsNegative();
    for (int i = 1; i <= mesh->NbTriangles(); ++i) {
        int a = 0, b = 0, c = 0;
        mesh->Triangle(i).Get(a, b, c);
        if (turn) std::swap(b, c);
        const std::array<std::uint32_t, 3> corners = {static_cast<std::uint32_t>(a - 1),
                                                      static_cast<std::uint32_t>(b - 1),
                                                      static_cast<std::uint32_t>(c - 1)};
        const Vec3& p = out.vertices_m[corners[0]];
        const Vec3 u = out.vertices_m[corners[1]] - p;
        const Vec3 v = out.vertices_m[corners[2]] - p;
        if (0.5 * u.cross(v).norm() > least_triangle_area_m2) out.triangles.push_back(corners);
    }
}

std::string entity_text(std::uint32_t number) {
    return number == 0 ? std::string{} : "#" + std::to_string(number);
}

/// Measures one face; it goes to the body's faces or, with a reason, to what is left out.
void read_face(const TopoDS_Face& face, const TopoDS_Shape& in_file, const PartContext& context,
               PartBody& body) {
    const ShapeOrigin& origin = context.origins.of(in_file);
    PartFace out;
    out.step_entity = origin.step_entity;
    out.name = origin.name;
    out.colour = context.colour_of(in_file);
    out.area_m2 = area_of(face);
    const auto leave_out = [&](std::string reason, double area_m2) {
        body.left_out.push_back(
            {entity_text(origin.step_entity), origin.name, std::move(reason), area_m2});
    };
    if (!(out.area_m2 < largest_face_area_m2)) return leave_out("this face has no bounds", 0);
    body.area_m2 += out.area_m2;
    if (out.area_m2 < least_face_area_m2) {
        return leave_out("this face has no area to speak of (below 0.1 mm2)", out.area_m2);
    }
    take_triangles(face, out);
    if (out.triangles.empty()) {
        return leave_out("the CAD kernel could not cut this face into triangles", out.area_m2);
    }
    out.planar = is_planar(face);
    body.faces.push_back(std::move(out));
}

/// The kernel turns faces and whole solids while it reads, without a word. A hollow's faces are all
/// turned by rights, those of the outer skin (the first shell) are not.
void note_what_the_kernel_turned(const TopoDS_Shape& in_file, const ShapeOrigins& origins,
                                 std::vector<std::string>& repaired) {
    bool outer = in_file.ShapeType() == TopAbs_SOLID;
    int n_disagreeing = 0;
    for (TopExp_Explorer shell(in_file, TopAbs_SHELL); shell.More(); shell.Next(), outer = false) {
        int n_faces = 0, n_turned = 0;
        for (TopExp_Explorer it(shell.Current(), TopAbs_FACE); it.More(); it.Next()) {
            const ShapeOrigin& origin = origins.of(it.Current());
            if (origin.step_entity == 0) continue;
            ++n_faces;
            n_turned += origin.reversed != (it.Current().Orientation() == TopAbs_REVERSED);
        }
        if (outer && n_faces > 0 && n_turned == n_faces) {
            repaired.emplace_back("solid that was inside out turned round");
        }
        n_disagreeing += std::min(n_turned, n_faces - n_turned);
    }
    if (n_disagreeing > 0) {
        repaired.push_back("faces that disagreed with their neighbours turned round: " +
                           std::to_string(n_disagreeing));
    }
}

PartBody read_body(const Mended& mended, const TopoDS_Shape& in_file, const PartContext& context) {
    PartBody body;
    body.name = context.origins.of(in_file).name;
    body.colour = context.colour_of(in_file);
    body.solid = mended.closed;
    body.meant_solid = in_file.ShapeType() == TopAbs_SOLID || context.origins.of(in_file).solid;
    note_what_the_kernel_turned(in_file, context.origins, body.repaired);
    body.repaired.insert(body.repaired.end(), mended.repaired.begin(), mended.repaired.end());
    const double angle_rad = context.options.angle_tolerance_deg * std::numbers::pi / 180.0;
    BRepMesh_IncrementalMesh(mended.shape, context.options.chord_tolerance_m, false, angle_rad,
                             false);
    for (TopExp_Explorer it(mended.shape, TopAbs_FACE); it.More(); it.Next()) {
        read_face(TopoDS::Face(it.Current()), mended.origin_of(it.Current()), context, body);
    }
    if (body.solid) {
        GProp_GProps properties;
        BRepGProp::VolumeProperties(mended.shape, properties);
        body.volume_m3 = properties.Mass();
    }
    return body;
}

/// Shells of several faces that belong to no solid, each by itself; last, all single faces
/// together, for the kernel wraps each loose face in a shell of its own.
std::vector<TopoDS_Shape> without_solid(const TopoDS_Shape& shape) {
    std::vector<TopoDS_Shape> groups;
    BRep_Builder builder;
    TopoDS_Compound singles;
    builder.MakeCompound(singles);
    bool any = false;
    const auto add_single = [&](const TopoDS_Shape& face) {
        builder.Add(singles, face);
        any = true;
    };
    for (TopExp_Explorer it(shape, TopAbs_SHELL, TopAbs_SOLID); it.More(); it.Next()) {
        TopExp_Explorer faces(it.Current(), TopAbs_FACE);
        if (!faces.More()) continue;
        const TopoDS_Shape first = faces.Current();
        faces.Next();
        if (faces.More()) {
            groups.push_back(it.Current());
        } else {
            add_single(first);
        }
    }
    for (TopExp_Explorer it(shape, TopAbs_FACE, TopAbs_SHELL); it.More(); it.Next()) {
        add_single(it.Current());
    }
    if (any) groups.emplace_back(singles);
    return groups;
}

int count(const TopoDS_Shape& shape, TopAbs_ShapeEnum kind, TopAbs_ShapeEnum outside) {
    int n = 0;
    for (TopExp_Explorer it(shape, kind, outside); it.More(); it.Next()) ++n;
    return n;
}

}  // namespace

std::optional<Rgb> own_colour(const TDF_Label& label) {
    const auto tool = XCAFDoc_DocumentTool::ColorTool(label);
    Quantity_Color colour;
    if (!tool->GetColor(label, XCAFDoc_ColorSurf, colour) &&
        !tool->GetColor(label, XCAFDoc_ColorGen, colour)) {
        return std::nullopt;
    }
    const auto channel = [](double value) { return static_cast<float>(value); };
    return Rgb{channel(colour.Red()), channel(colour.Green()), channel(colour.Blue())};
}

Part read_part(const TDF_Label& label, const ShapeOrigins& origins,
               const StepReadOptions& options) {
    const PartContext context{origins, options, colours_of_subshapes(label)};
    const TopoDS_Shape shape = XCAFDoc_ShapeTool::GetShape(label);
    Part part;
    part.colour = own_colour(label);
    if (shape.IsNull()) return part;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        part.faces_in_file.push_back(it.Current().TShape().get());
    }
    for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) {
        part.bodies.push_back(read_body(mend_solid(it.Current()), it.Current(), context));
    }
    for (const auto& faces : without_solid(shape)) {
        for (const auto& mended : mend_faces(faces)) {
            part.bodies.push_back(read_body(mended, faces, context));
        }
    }
    part.n_edges = count(shape, TopAbs_EDGE, TopAbs_FACE);
    part.n_vertices = count(shape, TopAbs_VERTEX, TopAbs_EDGE);
    return part;
}

}  // namespace noonshell
