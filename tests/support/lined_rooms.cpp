#include "tests/support/lined_rooms.hpp"

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS_Wire.hxx>
#include <stdexcept>
#include <string>

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

TopoDS_Shape first_solid(const TopoDS_Shape& of) {
    TopExp_Explorer it(of, TopAbs_SOLID);
    if (!it.More()) throw std::runtime_error("the CAD kernel made no solid");
    return it.Current();
}

TopoDS_Shape cut(const TopoDS_Shape& from, const TopoDS_Shape& what) {
    return first_solid(BRepAlgoAPI_Cut(from, what).Shape());
}

/// A box with walls of one thickness, between two depths from the outside of a box of `size_m`.
TopoDS_Shape hollow(const Vec3& size_m, double from_m, double to_m) {
    const auto at = [&](double depth_m) {
        return box(Vec3::Constant(depth_m), size_m - Vec3::Constant(depth_m));
    };
    return cut(at(from_m), at(to_m));
}

RoomFacts facts_of(const Vec3& room_m) {
    return {room_m.x() * room_m.y(), room_m.prod()};
}

class OneAssembly {
  public:
    explicit OneAssembly(const std::string& name) : assembly_(document_.assembly(name)) {}
    void add(const TopoDS_Shape& shape, const std::string& name) {
        document_.place(assembly_, document_.part(shape, name), {}, name);
    }
    void add_box(const Vec3& low_m, const Vec3& high_m) {
        add(box(low_m, high_m), "panel " + std::to_string(++n_));
    }
    /// Six panels of a box that meet without running into each other.
    void add_panels(const Vec3& low, const Vec3& high, double t) {
        add_box(low, {high.x(), high.y(), low.z() + t});
        add_box({low.x(), low.y(), high.z() - t}, high);
        const double z = low.z() + t, top = high.z() - t;
        add_box({low.x(), low.y(), z}, {high.x(), low.y() + t, top});
        add_box({low.x(), high.y() - t, z}, {high.x(), high.y(), top});
        add_box({low.x(), low.y() + t, z}, {low.x() + t, high.y() - t, top});
        add_box({high.x() - t, low.y() + t, z}, {high.x(), high.y() - t, top});
    }
    void write(const std::filesystem::path& file) { document_.write(file, LengthUnit::millimetre); }

  private:
    CadDocument document_;
    TDF_Label assembly_;
    int n_ = 0;
};

}  // namespace

RoomFacts write_lined_box(const std::filesystem::path& file, double cavity_mm, double lining_mm,
                          bool window) {
    const double skin = 0.002, outer = skin + cavity_mm / mm, inner = outer + lining_mm / mm;
    TopoDS_Shape steel = hollow(lined_room_size_m, 0, skin);
    TopoDS_Shape lining = hollow(lined_room_size_m, outer, inner);
    OneAssembly assembly("box");
    if (window) {
        const TopoDS_Shape opening = box({1, -0.1, 0.9}, {2.5, 0.3, 1.9});
        steel = cut(steel, opening);
        lining = cut(lining, opening);
    }
    assembly.add(steel, "skin");
    assembly.add(lining, "lining");
    if (window) assembly.add(box({1, 0.02, 0.9}, {2.5, 0.044, 1.9}), "window");
    assembly.write(file);
    return facts_of(lined_room_size_m - Vec3::Constant(2 * inner));
}

RoomFacts write_lined_plates(const std::filesystem::path& file, double cavity_mm) {
    const double skin = 0.002, lining = 0.012, depth = skin + cavity_mm / mm;
    const Vec3 inset = Vec3::Constant(depth);
    OneAssembly assembly("box");
    assembly.add_panels(Vec3::Zero(), lined_room_size_m, skin);
    assembly.add_panels(inset, lined_room_size_m - inset, lining);
    assembly.write(file);
    return facts_of(lined_room_size_m - Vec3::Constant(2 * (depth + lining)));
}

RoomFacts write_crossed_panels(const std::filesystem::path& file) {
    const double t = 0.1;
    const Vec3& size = lined_room_size_m;
    OneAssembly assembly("box");
    for (int axis = 0; axis < 3; ++axis) {
        Vec3 near = size, far = Vec3::Zero();
        near[axis] = t;
        far[axis] = size[axis] - t;
        assembly.add_box(Vec3::Zero(), near);
        assembly.add_box(far, size);
    }
    assembly.write(file);
    return facts_of(size - Vec3::Constant(2 * t));
}

RoomFacts write_beam_in_wall(const std::filesystem::path& file) {
    const double t = 0.1;
    const Vec3 size(lined_room_size_m.x(), lined_room_size_m.y(), 4);
    OneAssembly assembly("box");
    assembly.add_panels(Vec3::Zero(), size, t);
    assembly.add_box({0, 0, 1.9}, {size.x(), t, 2.0});
    assembly.write(file);
    return facts_of(size - Vec3::Constant(2 * t));
}

RoomFacts write_two_storeys(const std::filesystem::path& file) {
    const double t = 0.05;
    const Vec3 size(lined_room_size_m.x(), lined_room_size_m.y(), 5.2);
    OneAssembly assembly("house");
    assembly.add_panels(Vec3::Zero(), size, t);
    const double low = (size.z() - t) / 2;
    assembly.add_box({t, t, low}, {size.x() - t, size.y() - t, low + t});
    assembly.write(file);
    const double plan_m2 = (size.x() - 2 * t) * (size.y() - 2 * t);
    return {2 * plan_m2, plan_m2 * (size.z() - 3 * t)};
}

RoomFacts write_parted_room(const std::filesystem::path& file, bool doorway) {
    const double t = 0.05;
    const Vec3& size = lined_room_size_m;
    OneAssembly assembly("house");
    assembly.add_panels(Vec3::Zero(), size, t);
    TopoDS_Shape partition = box({3, t, t}, {3 + t, size.y() - t, size.z() - t});
    const double width_m = 0.9, height_m = 2;
    if (doorway) {
        partition = cut(partition, box({2.9, 1, 0}, {3.2, 1 + width_m, t + height_m}));
    }
    assembly.add(partition, "partition");
    assembly.write(file);
    RoomFacts facts = facts_of(size - Vec3::Constant(2 * t));
    const double y = size.y() - 2 * t, z = size.z() - 2 * t;
    facts.floor_m2 -= t * (y - (doorway ? width_m : 0));
    facts.volume_m3 -= t * (y * z - (doorway ? width_m * height_m : 0));
    return facts;
}

RoomFacts write_flat_row(const std::filesystem::path& file, double apart_mm) {
    const double t = 0.05;
    const Vec3 next(0, lined_room_size_m.y() + apart_mm / mm, 0);
    OneAssembly assembly("export");
    assembly.add_panels(Vec3::Zero(), lined_room_size_m, t);
    assembly.add_panels(next, next + lined_room_size_m, t);
    assembly.write(file);
    return facts_of(lined_room_size_m - Vec3::Constant(2 * t));
}

RoomFacts write_terrace_house(const std::filesystem::path& file, const TerraceHouse& house) {
    const double t = 0.2;
    const Vec3& size = terrace_house_size_m;
    const double top = size.z() - t;
    const TopoDS_Shape doorway = box({5, -0.1, t}, {5.9, t + 0.1, t + 2.1});
    OneAssembly assembly("house");
    if (house.one_solid) {
        TopoDS_Shape shell = hollow(size, 0, t);
        if (house.terrace_m > 0) {
            const TopoDS_Shape roof = box({0, -house.terrace_m, top}, {size.x(), 0, size.z()});
            shell = first_solid(BRepAlgoAPI_Fuse(shell, roof).Shape());
        }
        assembly.add(cut(shell, doorway), "shell");
    } else {
        assembly.add_box({0, 0, 0}, {size.x(), size.y(), t});
        assembly.add(cut(box({0, 0, t}, {size.x(), t, top}), doorway), "wall-south");
        assembly.add_box({0, size.y() - t, t}, {size.x(), size.y(), top});
        assembly.add_box({0, t, t}, {t, size.y() - t, top});
        assembly.add_box({size.x() - t, t, t}, {size.x(), size.y() - t, top});
        assembly.add_box({0, -house.terrace_m, top}, size);
    }
    if (house.leaf) assembly.add(box({5, 0.05, t}, {5.9, 0.1, t + 2.1}), "door");
    assembly.write(file);
    return facts_of(size - Vec3::Constant(2 * t));
}

RoomFacts write_eaves_house(const std::filesystem::path& file, const PlateReach& roof,
                            const PlateReach& floor, bool roof_sheet) {
    const double t = 0.2;
    const Vec3& size = terrace_house_size_m;
    const double top = size.z() - t;
    const auto low = [](const PlateReach& reach, double z) {
        return Vec3(-reach.west, -reach.south, z);
    };
    const auto high = [&](const PlateReach& reach, double z) {
        return Vec3(size.x() + reach.east, size.y() + reach.north, z);
    };
    OneAssembly assembly("house");
    assembly.add_box(low(floor, 0), high(floor, t));
    assembly.add_box({0, 0, t}, {size.x(), t, top});
    assembly.add_box({0, size.y() - t, t}, {size.x(), size.y(), top});
    assembly.add_box({0, t, t}, {t, size.y() - t, top});
    assembly.add_box({size.x() - t, t, t}, {size.x(), size.y() - t, top});
    if (!roof_sheet) {
        assembly.add(box(low(roof, top), high(roof, size.z())), "roof");
    } else {
        const Vec3 a = low(roof, top), b = high(roof, top);
        const Vec3 c(b.x(), a.y(), top), d(a.x(), b.y(), top);
        const TopoDS_Wire wire =
            BRepBuilderAPI_MakePolygon(point(a), point(c), point(b), point(d), true).Wire();
        assembly.add(BRepBuilderAPI_MakeFace(wire, true).Face(), "roof");
    }
    assembly.write(file);
    return facts_of(size - Vec3::Constant(2 * t));
}

}  // namespace noonshell::test_support
