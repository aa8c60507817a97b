#include "tests/support/hollow_bodies.hpp"

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shell.hxx>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "tests/support/cad_document.hpp"

namespace noonshell::test_support {

namespace {

constexpr double mm = 1000;

gp_Pnt point(const Vec3& at_m) {
    return {at_m.x() * mm, at_m.y() * mm, at_m.z() * mm};
}

TopoDS_Shape box(const Vec3& low_m, const Vec3& high_m) {
    return BRepPrimAPI_MakeBox(point(low_m), point(high_m)).Solid();
}

void write_part(const std::filesystem::path& file, const TopoDS_Shape& shape,
                const std::string& name) {
    CadDocument document;
    document.part(shape, name);
    document.write(file, LengthUnit::millimetre);
}

TopoDS_Solid only_solid(const TopoDS_Shape& shape) {
    TopExp_Explorer it(shape, TopAbs_SOLID);
    if (!it.More()) throw std::runtime_error("the CAD kernel cut no solid");
    return TopoDS::Solid(it.Current());
}

}  // namespace

HollowBoxFacts write_hollow_box(const std::filesystem::path& file, const Vec3& size_m,
                                double wall_mm, const std::optional<Doorway>& doorway,
                                const std::string& name) {
    const double wall = wall_mm / mm;
    const Vec3 low = Vec3::Constant(wall), high = size_m - low, inner = high - low;
    if (!(wall > 0) || !(inner.minCoeff() > 0)) {
        throw std::invalid_argument("wall_mm: the walls must leave a room");
    }
    if (doorway && !(doorway->width_m > 0 && doorway->width_m < inner.y() &&
                     doorway->height_m > 0 && doorway->height_m < inner.z())) {
        throw std::invalid_argument("doorway: must be smaller than the inner face of the wall");
    }
    TopoDS_Shape hollow = BRepAlgoAPI_Cut(box(Vec3::Zero(), size_m), box(low, high)).Shape();
    HollowBoxFacts facts{size_m.prod() - inner.prod(), inner.prod(), inner.x() * inner.y(), 12};
    if (doorway) {
        const double side = (size_m.y() - doorway->width_m) / 2;
        hollow =
            BRepAlgoAPI_Cut(
                hollow, box(Vec3(high.x(), side, wall),
                            Vec3(size_m.x() + wall, size_m.y() - side, wall + doorway->height_m)))
                .Shape();
        facts.solid_m3 -= doorway->width_m * doorway->height_m * wall;
        facts.n_faces += 4;  // jambs, lintel and threshold
    }
    write_part(file, only_solid(hollow), name);
    return facts;
}

namespace {

double write_shell(const std::filesystem::path& file, const Vec3& size_m,
                   const std::vector<int>& faces, double gap_mm, const std::string& name) {
    // Both neighbours step back by a right angle's leg.
    const double back = gap_mm / mm / std::numbers::sqrt2;
    if (!(back >= 0 && 2 * back < size_m.minCoeff())) throw std::invalid_argument("gap_mm");
    BRep_Builder builder;
    TopoDS_Shell shell;
    builder.MakeShell(shell);
    double area_m2 = 0;
    for (const int f : faces) {  // 0 to 5: -x, +x, -y, +y, -z, +z
        const int axis = f / 2, a = (axis + 1) % 3, b = (axis + 2) % 3;
        const bool far = f % 2 == 1;
        BRepBuilderAPI_MakePolygon polygon;
        for (int k = 0; k < 4; ++k) {
            const int corner = far ? k : 3 - k;  // counter-clockwise seen from outside
            Vec3 at = Vec3::Zero();
            at[axis] = far ? size_m[axis] : 0;
            at[a] = corner == 1 || corner == 2 ? size_m[a] - back : back;
            at[b] = corner >= 2 ? size_m[b] - back : back;
            polygon.Add(point(at));
        }
        polygon.Close();
        builder.Add(shell, BRepBuilderAPI_MakeFace(polygon.Wire(), true).Face());
        area_m2 += (size_m[a] - 2 * back) * (size_m[b] - 2 * back);
    }
    write_part(file, shell, name);
    return area_m2;
}

}  // namespace

double write_open_shell(const std::filesystem::path& file, const Vec3& size_m, int n_faces,
                        double gap_mm, const std::string& name) {
    if (n_faces < 5 || n_faces > 6) throw std::invalid_argument("n_faces: expected 5 or 6");
    std::vector<int> faces{0, 1, 2, 3, 4};
    if (n_faces == 6) faces.push_back(5);
    return write_shell(file, size_m, faces, gap_mm, name);
}

double write_shell_without_end(const std::filesystem::path& file, const Vec3& size_m,
                               const std::string& name) {
    return write_shell(file, size_m, {0, 2, 3, 4, 5}, 0, name);
}

HollowBoxFacts write_open_ended_box(const std::filesystem::path& file, const Vec3& size_m,
                                    double wall_mm, const std::string& name) {
    const double wall = wall_mm / mm;
    const Vec3 low = Vec3::Constant(wall), high = size_m - low;
    const Vec3 inner(size_m.x() - wall, high.y() - wall, high.z() - wall);
    if (!(wall > 0) || !(inner.minCoeff() > 0)) {
        throw std::invalid_argument("wall_mm: the walls must leave a room");
    }
    const Vec3 beyond(size_m.x() + wall, high.y(), high.z());
    const TopoDS_Shape cut = BRepAlgoAPI_Cut(box(Vec3::Zero(), size_m), box(low, beyond)).Shape();
    write_part(file, only_solid(cut), name);
    return {size_m.prod() - inner.prod(), inner.prod(), inner.x() * inner.y(), 11};
}

}  // namespace noonshell::test_support
