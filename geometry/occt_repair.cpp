#include "geometry/occt_repair.hpp"

#include <BRepBuilderAPI_Sewing.hxx>
#include <BRepGProp.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <NCollection_IndexedDataMap.hxx>
#include <ShapeFix_Shell.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_MapOfShape.hxx>
#include <TopTools_ShapeMapHasher.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Compound.hxx>
#include <TopoDS_Solid.hxx>
#include <algorithm>
#include <cmath>

#include "geometry/occt_flat_faces.hpp"

namespace noonshell {

namespace {

struct EdgeUse {
    int forward = 0;
    int reversed = 0;
};

std::vector<TopoDS_Shape> parts_of(const TopoDS_Shape& shape, TopAbs_ShapeEnum kind) {
    std::vector<TopoDS_Shape> parts;
    for (TopExp_Explorer it(shape, kind); it.More(); it.Next()) parts.push_back(it.Current());
    return parts;
}

/// Faces sewn to each other, and which face came from which.
struct Sewn {
    TopoDS_Shape shape;
    std::vector<std::pair<TopoDS_Shape, TopoDS_Shape>> replaced;
};

Sewn sew(const TopoDS_Shape& shape) {
    BRepBuilderAPI_Sewing sewing(sewing_gap_m);
    const auto faces = parts_of(shape, TopAbs_FACE);
    for (const auto& face : faces) sewing.Add(face);
    sewing.Perform();
    Sewn out{sewing.SewedShape(), {}};
    for (const auto& face : faces) {
        out.replaced.emplace_back(sewing.IsModified(face) ? sewing.Modified(face) : face, face);
    }
    return out;
}

/// The shell with its faces turned so that they agree with each other.
TopoDS_Shell with_faces_turned(const TopoDS_Shape& shell) {
    ShapeFix_Shell fix;
    fix.FixFaceOrientation(TopoDS::Shell(shell));
    return fix.NbShells() == 1 ? fix.Shell() : TopoDS::Shell(shell);
}

/// A solid of all shells: the one of largest volume outside, the others hollows within it.
TopoDS_Solid solid_of(std::vector<TopoDS_Shape> shells) {
    std::ranges::stable_sort(shells, std::ranges::greater{},
                             [](const auto& shell) { return std::abs(signed_volume(shell)); });
    BRep_Builder builder;
    TopoDS_Solid solid;
    builder.MakeSolid(solid);
    for (std::size_t i = 0; i < shells.size(); ++i) {
        const bool outermost = i == 0;
        if ((signed_volume(shells[i]) > 0) != outermost) shells[i].Reverse();
        shells[i].Closed(true);
        builder.Add(solid, shells[i]);
    }
    return solid;
}

/// Turns what is turned wrong in a closed solid; false when the faces cannot be made to agree.
bool orient(Mended& out) {
    if (!check_closure(out.shape).consistent()) {
        auto shells = parts_of(out.shape, TopAbs_SHELL);
        for (auto& shell : shells) shell = with_faces_turned(shell);
        const TopoDS_Solid solid = solid_of(std::move(shells));
        if (!check_closure(solid).consistent()) return false;
        out.shape = solid;
        out.repaired.push_back("faces that disagreed with their neighbours turned round");
        return true;
    }
    const double volume_m3 = signed_volume(out.shape);
    if (volume_m3 < 0) {
        out.shape.Reverse();
        out.repaired.push_back("solid that was inside out turned round");
    }
    out.volume_m3 = std::abs(volume_m3);
    return true;
}

std::string gaps_closed(std::size_t n_faces) {
    return "gaps between " + std::to_string(n_faces) + " faces closed (none wider than 0.1 mm)";
}

/// The faces of `all` that are not among `used`, as one compound; null when there are none.
TopoDS_Shape remaining(const TopoDS_Shape& all, const TopTools_MapOfShape& used) {
    BRep_Builder builder;
    TopoDS_Compound rest;
    builder.MakeCompound(rest);
    bool any = false;
    for (const auto& face : parts_of(all, TopAbs_FACE)) {
        if (used.Contains(face)) continue;
        builder.Add(rest, face);
        any = true;
    }
    return any ? TopoDS_Shape(rest) : TopoDS_Shape();
}

/// Solids from the closed shells of `shape`; the faces they came from are added to `used`.
std::vector<Mended> solids_of_closed_shells(const TopoDS_Shape& shape, const Sewn* sewn,
                                            TopTools_MapOfShape& used) {
    std::vector<Mended> out;
    for (const auto& shell : parts_of(shape, TopAbs_SHELL)) {
        if (!check_closure(shell).closed()) continue;
        Mended one{.shape = solid_of({shell}),
                   .closed = true,
                   .repaired = {},
                   .replaced = {},
                   .volume_m3 = {}};
        const auto faces = parts_of(shell, TopAbs_FACE);
        if (sewn != nullptr) {
            one.replaced = sewn->replaced;
            one.repaired.push_back(gaps_closed(faces.size()));
        }
        one.repaired.push_back("closed shell taken as a solid");
        if (!orient(one)) continue;
        for (const auto& face : faces) used.Add(one.origin_of(face));
        out.push_back(std::move(one));
    }
    return out;
}

}  // namespace

double signed_volume(const TopoDS_Shape& shape) {
    if (const auto volume = flat_volume(shape)) return *volume;
    GProp_GProps properties;
    BRepGProp::VolumeProperties(shape, properties);
    return properties.Mass();
}

Closure check_closure(const TopoDS_Shape& shape) {
    NCollection_IndexedDataMap<TopoDS_Shape, EdgeUse, TopTools_ShapeMapHasher> edges;
    for (const auto& face : parts_of(shape, TopAbs_FACE)) {
        for (const auto& edge : parts_of(face, TopAbs_EDGE)) {
            // Poles of spheres, and edges that lie inside a face, bound nothing.
            const auto way = edge.Orientation();
            if (BRep_Tool::Degenerated(TopoDS::Edge(edge))) continue;
            if (way != TopAbs_FORWARD && way != TopAbs_REVERSED) continue;
            int at = edges.FindIndex(edge);
            if (at == 0) at = edges.Add(edge, {});
            (way == TopAbs_FORWARD ? edges(at).forward : edges(at).reversed) += 1;
        }
    }
    Closure closure;
    if (edges.IsEmpty()) closure.free_edges = 1;
    for (int i = 1; i <= edges.Extent(); ++i) {
        const int total = edges(i).forward + edges(i).reversed;
        closure.free_edges += total == 1;
        closure.turned_edges += total == 2 && edges(i).forward != 1;
    }
    return closure;
}

const TopoDS_Shape& Mended::origin_of(const TopoDS_Shape& face) const {
    for (const auto& [now, before] : replaced) {
        if (now.IsSame(face)) return before;
    }
    return face;
}

Mended mend_solid(const TopoDS_Shape& solid) {
    Mended out{.shape = solid, .closed = true, .repaired = {}, .replaced = {}, .volume_m3 = {}};
    if (!check_closure(solid).closed()) {
        Sewn sewn = sew(solid);
        const auto shells = parts_of(sewn.shape, TopAbs_SHELL);
        const auto n_faces = parts_of(solid, TopAbs_FACE).size();
        out.closed = !shells.empty() && check_closure(sewn.shape).closed() &&
                     parts_of(sewn.shape, TopAbs_FACE).size() == n_faces;
        if (!out.closed) return out;
        out.shape = solid_of(shells);
        out.replaced = std::move(sewn.replaced);
        out.repaired.push_back(gaps_closed(n_faces));
    }
    if (!orient(out)) {
        return {.shape = solid, .closed = false, .repaired = {}, .replaced = {}, .volume_m3 = {}};
    }
    return out;
}

std::vector<Mended> mend_faces(const TopoDS_Shape& faces) {
    TopTools_MapOfShape used;
    auto out = solids_of_closed_shells(faces, nullptr, used);
    TopoDS_Shape rest = remaining(faces, used);
    if (rest.IsNull()) return out;
    if (parts_of(rest, TopAbs_FACE).size() > 1) {
        const Sewn sewn = sew(rest);
        for (auto& one : solids_of_closed_shells(sewn.shape, &sewn, used)) {
            out.push_back(std::move(one));
        }
        rest = remaining(faces, used);
    }
    if (!rest.IsNull()) {
        out.push_back(
            {.shape = rest, .closed = false, .repaired = {}, .replaced = {}, .volume_m3 = {}});
    }
    return out;
}

}  // namespace noonshell
