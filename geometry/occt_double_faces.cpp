#include "geometry/occt_double_faces.hpp"

#include <BRepGProp.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Iterator.hxx>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "geometry/vec3.hpp"

namespace noonshell {

namespace {

constexpr double same_place_m = 1e-5;

/// What can be had without integrating over the face.
struct Corners {
    Vec3 mean = Vec3::Zero();
    int n = 0;
};

Corners corners_of(const TopoDS_Face& face) {
    Corners out;
    for (TopExp_Explorer it(face, TopAbs_VERTEX); it.More(); it.Next(), ++out.n) {
        const gp_Pnt p = BRep_Tool::Pnt(TopoDS::Vertex(it.Current()));
        out.mean += Vec3(p.X(), p.Y(), p.Z());
    }
    if (out.n > 0) out.mean /= out.n;
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
                                    const std::vector<TopoDS_Face>& others) {
    std::vector<TopoDS_Face> faces = others;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        faces.push_back(TopoDS::Face(it.Current()));
    }
    const auto n_others = static_cast<int>(others.size());
    WithoutDoubles out;
    std::set<int> skip;
    for (const int i : find_doubles(faces)) {
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
