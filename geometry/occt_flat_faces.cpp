#include "geometry/occt_flat_faces.hpp"

#include <BRep_Tool.hxx>
#include <Eigen/Geometry>
#include <Geom_Line.hxx>
#include <Geom_Plane.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Iterator.hxx>
#include <TopoDS_Vertex.hxx>
#include <algorithm>
#include <cmath>
#include <gp_Lin.hxx>
#include <gp_Pln.hxx>

#include "geometry/polygon_ears.hpp"

namespace noonshell {

namespace {

using opencascade::handle;

/// What the corners of a face may stray, times its perimeter, over its area.
constexpr double largest_area_error = 1e-7;

Vec3 to_vec3(const gp_XYZ& p) {
    return {p.X(), p.Y(), p.Z()};
}

std::optional<gp_Pln> plane_of(const TopoDS_Face& face) {
    TopLoc_Location location;
    const auto plane = handle<Geom_Plane>::DownCast(BRep_Tool::Surface(face, location));
    if (plane.IsNull()) return std::nullopt;
    return location.IsIdentity() ? plane->Pln() : plane->Pln().Transformed(location);
}

/// A straight edge in the direction in which its wire runs.
struct StraightEdge {
    const void* begin = nullptr;  ///< identity of its first vertex
    const void* end = nullptr;
    Vec3 at;              ///< place of the first vertex
    double strays_m = 0;  ///< distance of its vertices from the ends of its line
    bool used = false;
};

std::optional<StraightEdge> straight_edge(const TopoDS_Edge& edge) {
    const bool reversed = edge.Orientation() == TopAbs_REVERSED;
    if (!reversed && edge.Orientation() != TopAbs_FORWARD) return std::nullopt;
    double first = 0, last = 0;
    TopLoc_Location location;
    const auto curve = handle<Geom_Line>::DownCast(BRep_Tool::Curve(edge, location, first, last));
    if (curve.IsNull()) return std::nullopt;
    const TopoDS_Vertex begin = TopExp::FirstVertex(edge), end = TopExp::LastVertex(edge);
    if (begin.IsNull() || end.IsNull()) return std::nullopt;
    gp_Lin line = curve->Lin();
    if (!location.IsIdentity()) line.Transform(location);
    const Vec3 origin = to_vec3(line.Location().XYZ()), way = to_vec3(line.Direction().XYZ());
    const Vec3 from = to_vec3(BRep_Tool::Pnt(begin).XYZ()), to = to_vec3(BRep_Tool::Pnt(end).XYZ());
    StraightEdge out{begin.TShape().get(), end.TShape().get(), from, 0, false};
    out.strays_m =
        std::max((origin + first * way - from).norm(), (origin + last * way - to).norm());
    if (reversed) {
        std::swap(out.begin, out.end);
        out.at = to;
    }
    return out;
}

/// The corners of a wire, which the kernel may list in any order; empty where its edges are not one
/// ring of straight lines.
std::vector<Vec3> ring_of(const TopoDS_Shape& wire, double& strays_m) {
    std::vector<StraightEdge> edges;
    for (TopoDS_Iterator it(wire); it.More(); it.Next()) {
        if (it.Value().ShapeType() != TopAbs_EDGE) return {};
        const auto edge = straight_edge(TopoDS::Edge(it.Value()));
        if (!edge) return {};
        strays_m = std::max(strays_m, edge->strays_m);
        edges.push_back(*edge);
    }
    std::vector<Vec3> corners;
    std::size_t at = 0;
    while (!edges.empty() && !edges[at].used) {
        edges[at].used = true;
        corners.push_back(edges[at].at);
        // In most files the next edge of the ring is the next in the list.
        std::size_t n_tried = 0, next = (at + 1) % edges.size();
        while (edges[next].begin != edges[at].end && ++n_tried < edges.size()) {
            next = (next + 1) % edges.size();
        }
        if (edges[next].begin != edges[at].end) return {};
        at = next;
    }
    // A ring that comes back to another edge than its first, or leaves edges out, is none.
    if (at != 0 || corners.size() != edges.size() || corners.size() < 3) return {};
    return corners;
}

/// Twice the area, as a vector.
Vec3 double_area(const std::vector<Vec3>& ring) {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 1; i + 1 < ring.size(); ++i) {
        sum += (ring[i] - ring[0]).cross(ring[i + 1] - ring[0]);
    }
    return sum;
}

double perimeter(const std::vector<Vec3>& ring) {
    double sum = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        sum += (ring[(i + 1) % ring.size()] - ring[i]).norm();
    }
    return sum;
}

}  // namespace

std::optional<FlatOutline> flat_outline(const TopoDS_Face& face) {
    const auto plane = plane_of(face);
    const bool bounds =
        face.Orientation() == TopAbs_FORWARD || face.Orientation() == TopAbs_REVERSED;
    if (!plane || !bounds) return std::nullopt;
    const gp_Dir x = plane->XAxis().Direction(), y = plane->YAxis().Direction();
    FlatOutline out;
    out.normal = to_vec3(x.XYZ().Crossed(y.XYZ()));
    if (face.Orientation() == TopAbs_REVERSED) out.normal = -out.normal;
    const Vec3 origin = to_vec3(plane->Location().XYZ());
    double strays_m = 0, length_m = 0;
    for (TopoDS_Iterator it(face); it.More(); it.Next()) {
        if (it.Value().ShapeType() != TopAbs_WIRE) return std::nullopt;
        auto ring = ring_of(it.Value(), strays_m);
        if (ring.empty()) return std::nullopt;
        for (const Vec3& corner : ring) {
            strays_m = std::max(strays_m, std::abs((corner - origin).dot(out.normal)));
        }
        out.area_m2 += out.normal.dot(double_area(ring)) / 2;
        length_m += perimeter(ring);
        out.rings.push_back(std::move(ring));
    }
    const bool exact = strays_m * length_m <= largest_area_error * out.area_m2;
    return out.area_m2 > 0 && exact ? std::optional(std::move(out)) : std::nullopt;
}

std::optional<FlatTriangles> cut_outline(const FlatOutline& outline) {
    FlatTriangles out;
    // Axes in the plane, so that the outline keeps its sense.
    const Vec3 x = (outline.rings[0][1] - outline.rings[0][0]).normalized();
    const Vec3 y = outline.normal.cross(x);
    PolygonRings rings;
    for (const auto& ring : outline.rings) {
        auto& flat = rings.emplace_back();
        for (const Vec3& corner : ring) {
            const Vec3 from_first = corner - outline.rings[0][0];
            flat.push_back({from_first.dot(x), from_first.dot(y)});
            out.vertices_m.push_back(corner);
        }
    }
    if (out.vertices_m.size() > most_corners) return std::nullopt;
    auto triangles = cut_into_triangles(rings);
    if (!triangles) return std::nullopt;
    out.triangles = std::move(*triangles);
    return out;
}

std::optional<double> flat_volume(const TopoDS_Shape& shape) {
    std::optional<Vec3> origin;
    double volume = 0;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        const auto outline = flat_outline(TopoDS::Face(it.Current()));
        if (!outline) return std::nullopt;
        const Vec3& corner = outline->rings[0][0];
        if (!origin) origin = corner;
        volume += outline->area_m2 * outline->normal.dot(corner - *origin) / 3;
    }
    return origin ? std::optional(volume) : std::nullopt;
}

}  // namespace noonshell
