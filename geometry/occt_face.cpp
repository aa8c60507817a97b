#include "geometry/occt_face.hpp"

#include <BRepAdaptor_Surface.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <Eigen/Geometry>
#include <GProp_GProps.hxx>
#include <GeomLib_IsPlanarSurface.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <cmath>

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
            double asked_tolerance_m, double chord_m) {
    constexpr double rounding = 1e-6;
    const double difference = std::abs(triangles_m2 - area_m2);
    if (difference <= rounding * area_m2) return true;
    GProp_GProps outline;
    BRepGProp::LinearProperties(face, outline);
    // Beside its outline a curved face also loses area within: up to 1.2 % at 15 degrees, 25 % at
    // the coarsest angle allowed.
    const double share = planar ? 0.001 : 0.3;
    // A body beyond all buildings is cut coarsely, but what is left must still be its face.
    constexpr double most_by_chords = 0.1;
    const double by_chords_m2 =
        std::max(asked_tolerance_m * outline.Mass(),
                 std::min(chord_m * outline.Mass(), most_by_chords * area_m2));
    return difference <= share * area_m2 + by_chords_m2;
}

}  // namespace

double area_of(const TopoDS_Shape& shape) {
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(shape, properties);
    return properties.Mass();
}

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

std::string entity_text(std::uint32_t number) {
    return number == 0 ? std::string{} : "#" + std::to_string(number);
}

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
    const auto leave_out = [&](std::string reason, double area_m2, bool area_known = true) {
        body.left_out.push_back({.entity = entity_text(origin.step_entity),
                                 .name = origin.name,
                                 .reason = std::move(reason),
                                 .area_m2 = area_m2,
                                 .area_known = area_known});
        return false;
    };
    if (!(std::abs(out.area_m2) < largest_face_area_m2)) {
        return leave_out("this face has no bounds", 0, false);
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
    if (!covers(face, triangles_m2, out.area_m2, out.planar, context.options.chord_tolerance_m,
                body.chord_m)) {
        return leave_out(out.planar ? "the outline of this face crosses itself"
                                    : "the CAD kernel could not cut this face cleanly",
                         std::max(std::abs(out.area_m2), triangles_m2));
    }
    body.area_m2 += out.area_m2;
    body.faces.push_back(std::move(out));
    return true;
}

}  // namespace noonshell
