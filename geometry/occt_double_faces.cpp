#include "geometry/occt_double_faces.hpp"

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepBndLib.hxx>
#include <BRepClass_FaceClassifier.hxx>
#include <BRepGProp.hxx>
#include <BRepTools.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <GProp_GProps.hxx>
#include <GeomAPI_ProjectPointOnSurf.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Iterator.hxx>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>
#include <set>

#include "geometry/vec3.hpp"

namespace noonshell {

namespace {

constexpr double same_place_m = 1e-5;

/// What lies no farther off a flat face than this lies on it [m]: less than the thinnest sheet.
constexpr double on_sheet_m = 4e-4;

/// What can be had without integrating over the face.
struct Corners {
    Vec3 mean = Vec3::Zero();
    Vec3 low_m = Vec3::Constant(std::numeric_limits<double>::infinity());
    Vec3 high_m = Vec3::Constant(-std::numeric_limits<double>::infinity());
    int n = 0;
};

Corners corners_of(const TopoDS_Face& face) {
    Corners out;
    for (TopExp_Explorer it(face, TopAbs_VERTEX); it.More(); it.Next(), ++out.n) {
        const gp_Pnt p = BRep_Tool::Pnt(TopoDS::Vertex(it.Current()));
        const Vec3 at(p.X(), p.Y(), p.Z());
        out.mean += at;
        out.low_m = out.low_m.cwiseMin(at);
        out.high_m = out.high_m.cwiseMax(at);
    }
    if (out.n > 0) out.mean /= out.n;
    if (out.n < 3) {  // a disc
        Bnd_Box box;
        BRepBndLib::Add(face, box, false);
        if (!box.IsVoid()) {
            const gp_Pnt low = box.CornerMin(), high = box.CornerMax();
            out.low_m = Vec3(low.X(), low.Y(), low.Z());
            out.high_m = Vec3(high.X(), high.Y(), high.Z());
        }
    }
    return out;
}

bool same_measure(const TopoDS_Face& a, const TopoDS_Face& b) {
    GProp_GProps of_a, of_b;
    BRepGProp::SurfaceProperties(a, of_a);
    BRepGProp::SurfaceProperties(b, of_b);
    const double area = std::abs(of_a.Mass());
    if (std::abs(std::abs(of_b.Mass()) - area) > 1e-6 * area) return false;
    if (of_a.CentreOfMass().Distance(of_b.CentreOfMass()) > same_place_m) return false;
    const gp_Mat m = of_a.MatrixOfInertia(), n = of_b.MatrixOfInertia();
    double largest = 0, worst = 0;
    for (int i = 1; i <= 3; ++i) {
        for (int j = 1; j <= 3; ++j) {
            largest = std::max(largest, std::abs(m(i, j)));
            worst = std::max(worst, std::abs(m(i, j) - n(i, j)));
        }
    }
    return worst <= 1e-5 * largest + same_place_m * area;
}

/// Positions of the faces, in the order of a walk, that an earlier one covers.
std::set<int> find_doubles(const std::vector<TopoDS_Face>& faces) {
    std::vector<Corners> corners;
    for (const auto& face : faces) corners.push_back(corners_of(face));
    std::vector<std::size_t> order(faces.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    // Corrugated walls share coordinates along every axis; this line leans against all of them.
    const Vec3 line(0.5773, 0.6347, 0.5138);
    const auto along = [&](std::size_t i) { return corners[i].mean.dot(line); };
    std::ranges::stable_sort(order, {}, along);
    std::set<int> doubles;
    for (std::size_t i = 0; i < order.size(); ++i) {
        for (std::size_t j = i + 1; j < order.size(); ++j) {
            const auto [a, b] = std::minmax(order[i], order[j]);
            if (along(order[j]) - along(order[i]) > 2 * same_place_m) break;
            if (doubles.contains(static_cast<int>(a)) || corners[a].n != corners[b].n ||
                (corners[a].mean - corners[b].mean).norm() > same_place_m) {
                continue;
            }
            if (faces[a].IsSame(faces[b]) || same_measure(faces[a], faces[b])) {
                doubles.insert(static_cast<int>(b));
            }
        }
    }
    return doubles;
}

/// A flat face, ready to be laid upon others.
struct Sheet {
    std::size_t face = 0;
    Vec3 normal;          ///< up, north or east
    double offset_m = 0;  ///< of its plane along the normal
};

std::optional<Sheet> sheet_of(const TopoDS_Face& face, std::size_t number) {
    const BRepAdaptor_Surface surface(face, false);
    if (surface.GetType() != GeomAbs_Plane) return std::nullopt;
    const gp_Pln plane = surface.Plane();
    const gp_Dir axis = plane.Axis().Direction();
    const gp_Pnt at = plane.Location();
    Vec3 normal(axis.X(), axis.Y(), axis.Z());
    constexpr double level = 1e-3;  // so that rounding turns no normal the other way
    const int k = std::abs(normal.z()) > level ? 2 : std::abs(normal.y()) > level ? 1 : 0;
    if (normal[k] < 0) normal = -normal;
    return Sheet{number, normal, normal.dot(Vec3(at.X(), at.Y(), at.Z()))};
}

bool is_on(const TopoDS_Face& face, const gp_Pnt& point) {
    const BRepClass_FaceClassifier at(face, point, on_sheet_m);
    return at.State() == TopAbs_IN || at.State() == TopAbs_ON;
}

/// Whether the border of `small` lies on `large` and fills no hole of it.
bool lies_on(const TopoDS_Face& small, const TopoDS_Face& large) {
    constexpr int points_of_edge = 4;
    const auto project = [&](const gp_Pnt& p) {
        return GeomAPI_ProjectPointOnSurf(p, BRep_Tool::Surface(large)).NearestPoint();
    };
    for (TopExp_Explorer it(small, TopAbs_EDGE); it.More(); it.Next()) {
        const TopoDS_Edge& edge = TopoDS::Edge(it.Current());
        if (BRep_Tool::Degenerated(edge)) continue;
        const BRepAdaptor_Curve curve(edge);
        const double begin = curve.FirstParameter(), end = curve.LastParameter();
        for (int i = 0; i <= points_of_edge; ++i) {
            const gp_Pnt p = curve.Value(begin + (end - begin) * i / points_of_edge);
            const gp_Pnt q = project(p);
            if (q.Distance(p) > on_sheet_m || !is_on(large, q)) return false;
        }
    }
    const TopoDS_Wire outer = BRepTools::OuterWire(large);
    for (TopExp_Explorer wire(large, TopAbs_WIRE); wire.More(); wire.Next()) {
        if (wire.Current().IsSame(outer)) continue;
        for (TopExp_Explorer it(wire.Current(), TopAbs_VERTEX); it.More(); it.Next()) {
            const gp_Pnt p = BRep_Tool::Pnt(TopoDS::Vertex(it.Current()));
            const BRepClass_FaceClassifier at(small, p, on_sheet_m);
            if (at.State() == TopAbs_IN) return false;
        }
    }
    return true;
}

/// Faces from `first` on that lie on another, no smaller one; of two alike the later one.
void find_covered(const std::vector<TopoDS_Face>& faces, std::size_t first, const FacesAlike& alike,
                  std::set<int>& doubles) {
    std::vector<Sheet> sheets;
    std::vector<Corners> corners(faces.size());
    for (std::size_t i = 0; i < faces.size(); ++i) {
        if (doubles.contains(static_cast<int>(i))) continue;
        corners[i] = corners_of(faces[i]);
        if (const auto sheet = sheet_of(faces[i], i)) sheets.push_back(*sheet);
    }
    std::ranges::stable_sort(sheets, {}, &Sheet::offset_m);
    constexpr double same_normal = 1 - 1e-7;  // 0.03 degrees
    const auto fits = [&](std::size_t small, std::size_t large) {
        return (corners[small].low_m.array() >= corners[large].low_m.array() - on_sheet_m).all() &&
               (corners[small].high_m.array() <= corners[large].high_m.array() + on_sheet_m).all();
    };
    for (std::size_t s = 0; s < sheets.size(); ++s) {
        for (std::size_t t = s + 1; t < sheets.size(); ++t) {
            if (sheets[t].offset_m - sheets[s].offset_m > on_sheet_m) break;
            if (sheets[s].normal.dot(sheets[t].normal) < same_normal) continue;
            // The later one of two alike comes first as the one to go.
            const auto [a, b] = std::minmax(sheets[s].face, sheets[t].face);
            for (const auto& [small, large] : {std::pair(b, a), std::pair(a, b)}) {
                if (small < first || !fits(small, large)) continue;
                if (doubles.contains(static_cast<int>(small)) ||
                    doubles.contains(static_cast<int>(large)))
                    continue;
                if (alike(faces[small], faces[large]) && lies_on(faces[small], faces[large]))
                    doubles.insert(static_cast<int>(small));
            }
        }
    }
}

/// A copy of `shape` without the faces whose number in the walk is in `skip`.
TopoDS_Shape rebuilt(const TopoDS_Shape& shape, const std::set<int>& skip, int& at) {
    BRep_Builder builder;
    TopoDS_Shape copy = shape.EmptyCopied();
    for (TopoDS_Iterator it(shape, false, false); it.More(); it.Next()) {
        const TopoDS_Shape& part = it.Value();
        if (part.ShapeType() == TopAbs_FACE) {
            if (!skip.contains(at++)) builder.Add(copy, part);
        } else if (part.ShapeType() < TopAbs_FACE) {
            builder.Add(copy, rebuilt(part, skip, at));
        } else {
            builder.Add(copy, part);
        }
    }
    copy.Closed(shape.Closed());
    return copy;
}

}  // namespace

WithoutDoubles without_double_faces(const TopoDS_Shape& shape,
                                    const std::vector<TopoDS_Face>& others,
                                    const FacesAlike& alike) {
    std::vector<TopoDS_Face> faces = others;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        faces.push_back(TopoDS::Face(it.Current()));
    }
    const auto n_others = static_cast<int>(others.size());
    WithoutDoubles out;
    std::set<int> skip;
    std::set<int> doubles = find_doubles(faces);
    if (shape.ShapeType() != TopAbs_SOLID)
        find_covered(faces, static_cast<std::size_t>(n_others), alike, doubles);
    for (const int i : doubles) {
        if (i < n_others) continue;
        out.doubles.push_back(faces[static_cast<std::size_t>(i)]);
        skip.insert(i - n_others);
    }
    if (skip.empty() || shape.ShapeType() == TopAbs_FACE) return {shape, {}};
    int at = 0;
    out.shape = rebuilt(shape, skip, at);
    return out;
}

}  // namespace noonshell
