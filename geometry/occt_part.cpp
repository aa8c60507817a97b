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
#include <set>

#include "geometry/occt_document.hpp"
#include "geometry/occt_double_faces.hpp"
#include "geometry/occt_flat_faces.hpp"
#include "geometry/occt_repair.hpp"
#include "geometry/reading_stage.hpp"

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

void take_triangle(const std::array<std::uint32_t, 3>& corners, PartFace& out) {
    const Vec3& p = out.vertices_m[corners[0]];
    const Vec3 u = out.vertices_m[corners[1]] - p;
    const Vec3 v = out.vertices_m[corners[2]] - p;
    if (0.5 * u.cross(v).norm() > least_triangle_area_m2) out.triangles.push_back(corners);
}

/// From the kernel's mesh of a face.
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
        take_triangle({static_cast<std::uint32_t>(a - 1), static_cast<std::uint32_t>(b - 1),
                       static_cast<std::uint32_t>(c - 1)},
                      out);
    }
}

/// A flat face with the triangles that cover it.
struct FlatFace {
    double area_m2 = 0;
    FlatTriangles mesh;
};

/// One for each face of `shape`; empty when one of them is not flat or needs the kernel's mesher,
/// which then cuts them all, so that neighbours share the points along their edges.
std::vector<FlatFace> cut_flat_faces(const TopoDS_Shape& shape) {
    std::vector<FlatFace> faces;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        const auto outline = flat_outline(TopoDS::Face(it.Current()));
        auto mesh = outline ? cut_outline(*outline) : std::nullopt;
        if (!mesh) return {};
        faces.push_back({outline->area_m2, std::move(*mesh)});
    }
    return faces;
}

/// Area and triangles.
void measure(const TopoDS_Face& face, PartFace& out) {
    out.area_m2 = area_of(face);
    if (!(std::abs(out.area_m2) < largest_face_area_m2)) return;
    take_triangles(face, out);
}

void measure(FlatFace& face, PartFace& out) {
    out.area_m2 = face.area_m2;
    out.vertices_m = std::move(face.mesh.vertices_m);
    for (const auto& corners : face.mesh.triangles) take_triangle(corners, out);
}

std::string entity_text(std::uint32_t number) {
    return number == 0 ? std::string{} : "#" + std::to_string(number);
}

double area_of_triangles(const PartFace& face) {
    double area = 0;
    for (const auto& t : face.triangles) {
        const Vec3& p = face.vertices_m[t[0]];
        area += (face.vertices_m[t[1]] - p).cross(face.vertices_m[t[2]] - p).norm() / 2;
    }
    return area;
}

/// Triangles inscribed in a face of the given outline may differ from it by this much. What differs
/// more has an outline that crosses itself, or was cut wrongly.
bool covers(const TopoDS_Face& face, double triangles_m2, double area_m2, bool planar,
            double chord_tolerance_m) {
    constexpr double rounding = 1e-6;
    const double difference = std::abs(triangles_m2 - area_m2);
    if (difference <= rounding * area_m2) return true;
    GProp_GProps outline;
    BRepGProp::LinearProperties(face, outline);
    // Beside its outline a curved face also loses area within: up to 1.2 % at 15 degrees, 25 % at
    // the coarsest angle allowed.
    const double share = planar ? 0.001 : 0.3;
    return difference <= share * area_m2 + chord_tolerance_m * outline.Mass();
}

/// Measures one face; it goes to the body's faces or, with a reason, to what is left out. False
/// when the body lost a face that matters. `flat`: the face cut already, or null.
bool read_face(const TopoDS_Face& face, FlatFace* flat, const TopoDS_Shape& in_file,
               const PartContext& context, PartBody& body) {
    const ShapeOrigin& origin = context.origins.of(in_file);
    PartFace out;
    out.step_entity = origin.step_entity;
    out.name = origin.name;
    out.colour = context.colour_of(in_file);
    if (flat != nullptr) {
        measure(*flat, out);
    } else {
        measure(face, out);
    }
    const auto leave_out = [&](std::string reason, double area_m2) {
        body.left_out.push_back(
            {entity_text(origin.step_entity), origin.name, std::move(reason), area_m2});
        return false;
    };
    if (!(std::abs(out.area_m2) < largest_face_area_m2)) {
        return leave_out("this face has no bounds (area unknown)", 0);
    }
    const double triangles_m2 = area_of_triangles(out);
    if (std::max(std::abs(out.area_m2), triangles_m2) < least_face_area_m2) {
        leave_out("this face has no area to speak of (below 0.1 mm2)", std::abs(out.area_m2));
        return true;
    }
    if (out.triangles.empty()) {
        return leave_out("the CAD kernel could not cut this face into triangles",
                         std::abs(out.area_m2));
    }
    out.planar = flat != nullptr || is_planar(face);
    if (!covers(face, triangles_m2, out.area_m2, out.planar, context.options.chord_tolerance_m)) {
        return leave_out(out.planar ? "the outline of this face crosses itself"
                                    : "the CAD kernel could not cut this face cleanly",
                         std::max(std::abs(out.area_m2), triangles_m2));
    }
    body.area_m2 += out.area_m2;
    body.faces.push_back(std::move(out));
    return true;
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

/// The kernel cuts a face whose outline crosses itself into pieces that do not.
void note_cut_faces(const PartContext& context, PartBody& body) {
    std::set<std::uint32_t> cut;
    for (const PartFace& face : body.faces) {
        if (context.origins.in_pieces.contains(face.step_entity)) cut.insert(face.step_entity);
    }
    for (const std::uint32_t entity : cut) {
        body.repaired.push_back("face " + entity_text(entity) +
                                ", whose outline crosses itself, cut into pieces");
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
    std::vector<FlatFace> flat = cut_flat_faces(mended.shape);
    if (flat.empty()) {
        BRepMesh_IncrementalMesh(mended.shape, context.options.chord_tolerance_m, false, angle_rad,
                                 false);
    }
    body.step_entity = context.origins.of(in_file).step_entity;
    std::size_t at = 0;
    for (TopExp_Explorer it(mended.shape, TopAbs_FACE); it.More(); it.Next(), ++at) {
        const bool whole = read_face(TopoDS::Face(it.Current()), flat.empty() ? nullptr : &flat[at],
                                     mended.origin_of(it.Current()), context, body);
        body.solid = body.solid && whole;
    }
    note_cut_faces(context, body);
    if (body.solid) {
        body.volume_m3 = mended.volume_m3 ? *mended.volume_m3 : signed_volume(mended.shape);
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

/// Moves, mirrors and scales a body in its part's axes.
void move_body(const gp_Trsf& move, PartBody& body) {
    const double scale = std::abs(move.ScaleFactor());
    body.area_m2 *= scale * scale;
    body.volume_m3 *= scale * scale * scale;
    for (PartFace& face : body.faces) {
        face.area_m2 *= scale * scale;
        for (Vec3& v : face.vertices_m) {
            const gp_Pnt p = gp_Pnt(v.x(), v.y(), v.z()).Transformed(move);
            v = {p.X(), p.Y(), p.Z()};
        }
        if (!move.IsNegative()) continue;
        for (auto& corners : face.triangles) std::swap(corners[1], corners[2]);
    }
    for (LeftOut& left : body.left_out) left.area_m2 *= scale * scale;
}

void note_doubles(const std::vector<TopoDS_Face>& doubles, const PartContext& context,
                  PartBody& body) {
    if (doubles.empty()) return;
    for (const TopoDS_Face& face : doubles) {
        const ShapeOrigin& origin = context.origins.of(face);
        body.left_out.push_back({.entity = entity_text(origin.step_entity),
                                 .name = origin.name,
                                 .reason = "the same face stands at the same place already",
                                 .area_m2 = std::abs(area_of(face)),
                                 .is_double = true});
    }
    body.repaired.push_back("faces that stood there twice taken out: " +
                            std::to_string(doubles.size()));
}

/// Bodies from one solid, one shell or all loose faces of a part. `others`: faces of the part's
/// solids, for what is no solid itself.
void read_group(const TopoDS_Shape& group, const std::vector<TopoDS_Face>& others,
                const PartContext& context, MappedFaces& mapped, Part& part) {
    now_at("while mending and cutting", context.origins.of(group).step_entity);
    const WithoutDoubles single = without_double_faces(group, others);
    const bool solid = group.ShapeType() == TopAbs_SOLID;
    const auto mended =
        solid ? std::vector<Mended>{mend_solid(single.shape)} : mend_faces(single.shape);
    const MappedShape* item = mapped.next(group);
    const gp_Trsf correction =
        item == nullptr ? gp_Trsf{}
                        : item->placement * item->shape.Location().Transformation().Inverted();
    if (item != nullptr && item->step_entity != 0) {
        part.operators_used.push_back(item->step_entity);
    }
    if (mended.empty() && !part.bodies.empty()) {
        note_doubles(single.doubles, context, part.bodies.back());
    }
    for (std::size_t i = 0; i < mended.size(); ++i) {
        PartBody body = read_body(mended[i], group, context);
        if (i == 0) note_doubles(single.doubles, context, body);
        if (item != nullptr && item->step_entity != 0) move_body(correction, body);
        part.bodies.push_back(std::move(body));
    }
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

Part read_part(const TDF_Label& label, const OcctDocument& loaded, const StepReadOptions& options) {
    const PartContext context{loaded.origins, options, colours_of_subshapes(label)};
    const TopoDS_Shape shape = XCAFDoc_ShapeTool::GetShape(label);
    Part part;
    part.colour = own_colour(label);
    if (shape.IsNull()) return part;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        part.faces_in_file.push_back(it.Current().TShape().get());
    }
    MappedFaces mapped(loaded.operators);
    std::vector<TopoDS_Face> faces_of_solids;
    for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More(); it.Next()) {
        read_group(it.Current(), {}, context, mapped, part);
    }
    const auto groups = without_solid(shape);
    for (TopExp_Explorer it(shape, TopAbs_SOLID); it.More() && !groups.empty(); it.Next()) {
        for (TopExp_Explorer face(it.Current(), TopAbs_FACE); face.More(); face.Next()) {
            faces_of_solids.push_back(TopoDS::Face(face.Current()));
        }
    }
    for (const auto& faces : groups) read_group(faces, faces_of_solids, context, mapped, part);
    part.n_edges = count(shape, TopAbs_EDGE, TopAbs_FACE);
    part.n_vertices = count(shape, TopAbs_VERTEX, TopAbs_EDGE);
    return part;
}

}  // namespace noonshell
