#include "geometry/occt_part.hpp"

#include <BRepBndLib.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Builder.hxx>
#include <Bnd_Box.hxx>
#include <Quantity_Color.hxx>
#include <TDF_ChildIterator.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include "geometry/occt_document.hpp"
#include "geometry/occt_double_faces.hpp"
#include "geometry/occt_face.hpp"
#include "geometry/occt_repair.hpp"
#include "geometry/reading_stage.hpp"

namespace noonshell {

namespace {

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

/// "#1, #2, #3 and 4 more".
std::string first_of(const std::vector<std::uint32_t>& entities) {
    constexpr std::size_t most = 3;
    std::string text;
    for (std::size_t i = 0; i < std::min(most, entities.size()); ++i) {
        text += (i == 0 ? "" : ", ") + entity_text(entities[i]);
    }
    if (entities.size() > most) text += " and " + std::to_string(entities.size() - most) + " more";
    return text;
}

/// The kernel turns faces and whole solids while it reads, without a word. A hollow's faces are all
/// turned by rights, those of the outer skin (the first shell) are not.
void note_what_the_kernel_turned(const TopoDS_Shape& in_file, const ShapeOrigins& origins,
                                 std::vector<std::string>& repaired) {
    bool outer = in_file.ShapeType() == TopAbs_SOLID;
    std::vector<std::uint32_t> disagreeing;
    for (TopExp_Explorer shell(in_file, TopAbs_SHELL); shell.More(); shell.Next(), outer = false) {
        std::vector<std::uint32_t> turned, kept;
        for (TopExp_Explorer it(shell.Current(), TopAbs_FACE); it.More(); it.Next()) {
            const ShapeOrigin& origin = origins.of(it.Current());
            if (origin.step_entity == 0) continue;
            const bool is_turned =
                origin.reversed != (it.Current().Orientation() == TopAbs_REVERSED);
            (is_turned ? turned : kept).push_back(origin.step_entity);
        }
        if (outer && !turned.empty() && kept.empty()) {
            repaired.emplace_back("solid that was inside out turned round");
        }
        const auto& fewer = turned.size() <= kept.size() ? turned : kept;
        disagreeing.insert(disagreeing.end(), fewer.begin(), fewer.end());
    }
    if (!disagreeing.empty()) {
        repaired.push_back("faces that disagreed with their neighbours turned round: " +
                           std::to_string(disagreeing.size()) + " (" + first_of(disagreeing) + ")");
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

/// No body of a building is larger. Larger ones are ground, or their length unit is wrong: they are
/// cut by a share of their size, or a part of a machine taken for metres would need millions of
/// triangles.
constexpr double largest_fine_body_m = 200;
constexpr double chord_of_large_body = 5e-4;

double chord_for(const TopoDS_Shape& shape, double asked_m) {
    Bnd_Box box;
    BRepBndLib::Add(shape, box, false);
    if (box.IsVoid() || box.IsOpen()) return asked_m;
    const double size_m = std::sqrt(box.SquareExtent());
    return size_m > largest_fine_body_m ? std::max(asked_m, chord_of_large_body * size_m) : asked_m;
}

PartBody read_body(const Mended& mended, const TopoDS_Shape& in_file, const PartContext& context) {
    PartBody body;
    body.name = context.mapped_names.of(in_file, context.origins.of(in_file).name);
    body.colour = context.colour_of(in_file);
    body.solid = mended.closed;
    body.meant_solid = in_file.ShapeType() == TopAbs_SOLID || context.origins.of(in_file).solid;
    note_what_the_kernel_turned(in_file, context.origins, body.repaired);
    body.repaired.insert(body.repaired.end(), mended.repaired.begin(), mended.repaired.end());
    const double angle_rad = context.options.angle_tolerance_deg * std::numbers::pi / 180.0;
    std::vector<FlatFace> flat = cut_flat_faces(mended.shape);
    body.chord_m = context.options.chord_tolerance_m;
    if (flat.empty()) {
        body.chord_m = chord_for(mended.shape, context.options.chord_tolerance_m);
        BRepMesh_IncrementalMesh(mended.shape, body.chord_m, false, angle_rad, false);
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
                                 .reason = "it lies on a face that stands there already",
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
    const auto alike = [&](const TopoDS_Face& a, const TopoDS_Face& b) {
        return context.colour_of(a) == context.colour_of(b) &&
               context.origins.of(a).name == context.origins.of(b).name;
    };
    const WithoutDoubles single = without_double_faces(group, others, alike);
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

/// True for several open bodies whose faces stand in one closed shell of the file.
bool has_fallen_apart(const Part& part, const OcctDocument& loaded) {
    std::set<std::uint32_t> shells;
    int n_open = 0;
    for (const PartBody& body : part.bodies) {
        for (const PartFace& face : body.faces) {
            const auto found = loaded.closed_shell_of.find(face.step_entity);
            if (found == loaded.closed_shell_of.end()) return false;
            shells.insert(found->second);
        }
        n_open += !body.solid && !body.faces.empty();
    }
    return n_open > 1 && shells.size() == 1;
}

}  // namespace

std::optional<Rgb> own_colour(const TDF_Label& label) {
    const auto tool = XCAFDoc_DocumentTool::ColorTool(label);
    Quantity_Color colour;
    if (!tool->GetColor(label, XCAFDoc_ColorSurf, colour) &&
        !tool->GetColor(label, XCAFDoc_ColorGen, colour)) {
        return std::nullopt;
    }
    double red = 0, green = 0, blue = 0;
    colour.Values(red, green, blue, Quantity_TOC_sRGB);  // the kernel itself holds linear ones
    return Rgb{static_cast<float>(red), static_cast<float>(green), static_cast<float>(blue)};
}

Part read_part(const TDF_Label& label, const OcctDocument& loaded, const StepReadOptions& options) {
    const PartContext context{loaded.origins, loaded.mapped_names, options,
                              colours_of_subshapes(label)};
    const TopoDS_Shape shape = XCAFDoc_ShapeTool::GetShape(label);
    Part part;
    part.colour = own_colour(label);
    if (shape.IsNull()) return part;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        part.faces_in_file.push_back(it.Current().TShape().get());
        part.face_entities.push_back(loaded.origins.of(it.Current()).step_entity);
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
    part.fell_apart = has_fallen_apart(part, loaded);
    part.n_edges = count(shape, TopAbs_EDGE, TopAbs_FACE);
    part.n_vertices = count(shape, TopAbs_VERTEX, TopAbs_EDGE);
    return part;
}

}  // namespace noonshell
