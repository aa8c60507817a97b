#include "tests/support/container_solids.hpp"

#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <TopoDS.hxx>
#include <cmath>
#include <functional>
#include <gp_Ax2.hxx>
#include <gp_Vec.hxx>
#include <numbers>

namespace noonshell::test_support {

namespace {

using P = ContainerPlan;
using Outline = std::vector<std::array<double, 2>>;
/// Puts a point of an outline into space.
using Lift = std::function<gp_Pnt(double, double)>;

gp_Trsf moved(double x, double y, double z) {
    gp_Trsf move;
    move.SetTranslation(gp_Vec(x, y, z));
    return move;
}

double area_of(const Outline& outline) {
    double twice = 0;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const auto& [x0, y0] = outline[i];
        const auto& [x1, y1] = outline[(i + 1) % outline.size()];
        twice += x0 * y1 - x1 * y0;
    }
    return std::abs(twice) / 2;
}

TopoDS_Wire wire_of(const Outline& outline, const Lift& lift) {
    BRepBuilderAPI_MakePolygon polygon;
    for (const auto& [a, b] : outline) polygon.Add(lift(a, b));
    polygon.Close();
    return polygon.Wire();
}

/// Collects parts under one group after another.
class PartList {
  public:
    void begin(std::string group) { group_ = std::move(group); }

    void add(std::string name, const TopoDS_Shape& solid, double volume_mm3, std::size_t n_faces,
             std::vector<gp_Trsf> places = {gp_Trsf()}) {
        parts.push_back({std::move(name), group_, solid, volume_mm3, n_faces, std::move(places)});
    }

    void box(std::string name, const gp_Pnt& low, const gp_Pnt& high,
             std::vector<gp_Trsf> places = {gp_Trsf()}) {
        const double volume = (high.X() - low.X()) * (high.Y() - low.Y()) * (high.Z() - low.Z());
        add(std::move(name), BRepPrimAPI_MakeBox(low, high).Solid(), volume, 6, std::move(places));
    }

    void prism(std::string name, const Outline& outline, const Lift& lift, const gp_Vec& along,
               std::vector<gp_Trsf> places = {gp_Trsf()}) {
        const BRepBuilderAPI_MakeFace face(wire_of(outline, lift), true);
        add(std::move(name), BRepPrimAPI_MakePrism(face.Face(), along).Shape(),
            area_of(outline) * along.Magnitude(), outline.size() + 2, std::move(places));
    }

    /// A rectangular tube of outside sizes a and b.
    void tube(std::string name, double a, double b, double wall, const Lift& lift,
              const gp_Vec& along, std::vector<gp_Trsf> places) {
        const Outline outside{{0, 0}, {a, 0}, {a, b}, {0, b}};
        const Outline inside{
            {wall, wall}, {wall, b - wall}, {a - wall, b - wall}, {a - wall, wall}};
        BRepBuilderAPI_MakeFace face(wire_of(outside, lift), true);
        face.Add(wire_of(inside, lift));
        add(std::move(name), BRepPrimAPI_MakePrism(face.Face(), along).Shape(),
            (area_of(outside) - area_of(inside)) * along.Magnitude(), 10, std::move(places));
    }

    void cylinder(std::string name, const gp_Pnt& foot, double radius, double height,
                  std::vector<gp_Trsf> places) {
        add(std::move(name),
            BRepPrimAPI_MakeCylinder(gp_Ax2(foot, gp_Dir(0, 0, 1)), radius, height).Solid(),
            std::numbers::pi * radius * radius * height, 3, std::move(places));
    }

    std::vector<ContainerPart> parts;

  private:
    std::string group_;
};

// How an outline of two numbers lies in space.
gp_Pnt in_plan(double x, double y) {
    return {x, y, 0};
}
gp_Pnt across(double y, double z) {
    return {0, y, z};
}
gp_Pnt lengthwise(double x, double z) {
    return {x, 0, z};
}

/// A beam between two castings that rests on them by both ends.
Outline notched_beam(double length, double casting, double post) {
    const double low = P::base_mm, step = P::casting_z_mm, top = P::floor_top_mm;
    return {{casting, low},        {length - casting, low}, {length - casting, step},
            {length - post, step}, {length - post, top},    {post, top},
            {post, step},          {casting, step}};
}

void add_frame(PartList& list) {
    list.begin("frame");
    const double x = P::length_mm, y = P::width_mm;
    std::vector<gp_Trsf> corners, posts;
    for (const double top : {0.0, P::wall_top_mm}) {
        for (const double dx : {0.0, x - P::casting_x_mm}) {
            for (const double dy : {0.0, y - P::casting_y_mm}) {
                corners.push_back(moved(dx, dy, top));
            }
        }
    }
    for (const double dx : {0.0, x - P::post_x_mm}) {
        for (const double dy : {0.0, y - P::post_y_mm}) {
            posts.push_back(moved(dx, dy, P::casting_z_mm));
        }
    }
    list.box("casting", {0, 0, 0}, {P::casting_x_mm, P::casting_y_mm, P::casting_z_mm}, corners);
    list.tube("post", P::post_x_mm, P::post_y_mm, 6, in_plan,
              {0, 0, P::wall_top_mm - P::casting_z_mm}, posts);
    const auto side = std::vector<gp_Trsf>{gp_Trsf(), moved(0, y - P::rail_mm, 0)};
    const auto end = std::vector<gp_Trsf>{gp_Trsf(), moved(x - P::post_x_mm, 0, 0)};
    list.prism("bottom-rail", notched_beam(x, P::casting_x_mm, P::post_x_mm), lengthwise,
               {0, P::rail_mm, 0}, side);
    list.prism("sill", notched_beam(y, P::casting_y_mm, P::post_y_mm), across, {P::post_x_mm, 0, 0},
               end);
    const double rail_height = P::roof_top_mm - P::wall_top_mm;
    list.tube("top-rail", P::rail_mm, rail_height, 4, across, {x - 2 * P::casting_x_mm, 0, 0},
              {moved(P::casting_x_mm, 0, P::wall_top_mm),
               moved(P::casting_x_mm, y - P::rail_mm, P::wall_top_mm)});
    list.tube("header", P::casting_x_mm, rail_height, 4, lengthwise,
              {0, y - 2 * P::casting_y_mm, 0},
              {moved(0, P::casting_y_mm, P::wall_top_mm),
               moved(x - P::casting_x_mm, P::casting_y_mm, P::wall_top_mm)});
}

void add_floor(PartList& list, double gap) {
    list.begin("floor");
    constexpr int n_members = 32, n_boards = 5;
    constexpr double depth = 122, flange = 45, wall = 4, plate = 6;
    const double first = P::casting_x_mm + 12, span = P::length_mm - 2 * first - flange;
    std::vector<gp_Trsf> members, plates, boards;
    for (int i = 0; i < n_members; ++i) {
        const double dx = first + span * i / (n_members - 1);
        members.push_back(moved(dx, P::rail_mm + plate, P::base_mm));
        plates.push_back(moved(dx, P::rail_mm, P::base_mm));
        plates.push_back(moved(dx, P::width_mm - P::rail_mm - plate, P::base_mm));
    }
    list.prism("cross-member",
               {{0, 0},
                {flange, 0},
                {flange, wall},
                {wall, wall},
                {wall, depth - wall},
                {flange, depth - wall},
                {flange, depth},
                {0, depth}},
               lengthwise, {0, P::width_mm - 2 * P::rail_mm - 2 * plate, 0}, members);
    list.box("end-plate", {0, 0, 0}, {flange, plate, depth}, plates);
    const double board_x = (P::length_mm - 2 * P::post_x_mm) / n_boards;
    const double board_y = P::width_mm / 2 - P::rail_mm;
    for (int i = 0; i < n_boards; ++i) {
        for (const double dy : {P::rail_mm, P::width_mm / 2}) {
            boards.push_back(
                moved(P::post_x_mm + i * board_x, dy, P::floor_top_mm - P::plywood_mm));
        }
    }
    list.box("plywood", {gap, gap, 0}, {board_x - gap, board_y - gap, P::plywood_mm}, boards);
}

void add_panels(PartList& list, const ContainerOptions& options) {
    list.begin("panels");
    const double gap = options.panel_gap_mm;
    const ContainerPlan plan(gap);
    const double foot = P::floor_top_mm + gap;
    const gp_Vec up(0, 0, P::wall_top_mm - gap - foot);
    const auto side = plan.side_wall.outline_mm();
    list.prism(
        "side-wall-right", side, [=](double s, double d) { return gp_Pnt(s, d, foot); }, up);
    list.prism(
        "side-wall-left", side,
        [=](double s, double d) { return gp_Pnt(s, P::width_mm - d, foot); }, up);
    list.prism(
        "front-wall", plan.front_wall.outline_mm(),
        [=](double s, double d) { return gp_Pnt(d, s, foot); }, up);
    const Outline flat{{plan.roof.begin_mm, 0},
                       {plan.roof.end_mm, 0},
                       {plan.roof.end_mm, P::sheet_mm},
                       {plan.roof.begin_mm, P::sheet_mm}};
    list.prism("roof", options.folded_roof ? plan.roof.outline_mm() : flat,
               [=](double s, double d) { return gp_Pnt(s, P::rail_mm + gap, P::roof_top_mm - d); },
               {0, P::width_mm - 2 * P::rail_mm - 2 * gap, 0});
    if (!options.doors) return;
    const double middle = P::width_mm / 2;
    list.box("door-right", {P::door_inside_mm, P::post_y_mm + gap, foot},
             {P::door_outside_mm, middle - gap, P::wall_top_mm - gap});
    list.box("door-left", {P::door_inside_mm, middle + gap, foot},
             {P::door_outside_mm, P::width_mm - P::post_y_mm - gap, P::wall_top_mm - gap});
}

std::vector<gp_Trsf> at_heights(double y, std::initializer_list<double> heights) {
    std::vector<gp_Trsf> places;
    for (const double z : heights) places.push_back(moved(0, y, z));
    return places;
}

/// One locking bar with its guides, cams, keepers, handle and retainers.
void add_locking_bar(PartList& list, const std::string& number, double y) {
    const double leaf = P::door_outside_mm, x = P::length_mm, near = x - 42, far = x - 8;
    const auto name = [&](const char* what) { return what + ("-" + number); };
    list.cylinder(name("locking-bar"), {x - 25, y, 185}, 17, 2270, {gp_Trsf()});
    list.box(name("bar-guide"), {leaf, -30, 0}, {near, 30, 60},
             at_heights(y, {300, 750, 1200, 1650, 2250}));
    list.box(name("cam"), {near, -25, 0}, {far, 25, 10}, at_heights(y, {175, 2455}));
    list.box(name("keeper"), {leaf, -45, 0}, {near, 45, 20}, at_heights(y, {210, 2420}));
    list.box(name("handle"), {far, y - 125, 1000}, {x - 2, y + 125, 1030});
    list.box(name("retainer"), {leaf, 90, 0}, {far, 120, 18}, at_heights(y, {980, 1032}));
}

void add_hinges(PartList& list) {
    const double leaf = P::door_outside_mm, x = P::length_mm, w = P::width_mm;
    std::vector<gp_Trsf> right, left_pin, left_blade, left_lug;
    for (const double z : {300.0, 800.0, 1300.0, 1800.0, 2300.0}) {
        right.push_back(moved(0, 0, z));
        left_pin.push_back(moved(0, w - 2 * 112, z));
        left_blade.push_back(moved(0, w - 124 - 250, z));
        left_lug.push_back(moved(0, w - 94 - 100, z));
    }
    const auto both = [&](const std::vector<gp_Trsf>& left) {
        std::vector<gp_Trsf> all = right;
        all.insert(all.end(), left.begin(), left.end());
        return all;
    };
    list.cylinder("hinge-pin", {x - 30, 112, 0}, 10, 80, both(left_pin));
    list.box("hinge-blade", {leaf, 124, 0}, {leaf + 6, 250, 80}, both(left_blade));
    list.box("hinge-lug", {x - 40, P::post_y_mm, 0}, {x - 20, 100, 80}, both(left_lug));
}

void add_gaskets(PartList& list) {
    const double leaf = P::door_outside_mm, low = P::floor_top_mm, high = P::wall_top_mm;
    const double width = P::width_mm / 2 - P::post_y_mm, thin = 5, strip = 8;
    for (const double dy : {P::post_y_mm, P::width_mm / 2}) {
        const std::string leaf_name = dy < P::width_mm / 2 ? "-right" : "-left";
        list.box("gasket-flat" + leaf_name, {leaf, strip, 0}, {leaf + thin, width - strip, strip},
                 {moved(0, dy, low), moved(0, dy, high - strip)});
        list.box("gasket-upright" + leaf_name, {leaf, 0, low}, {leaf + thin, strip, high},
                 {moved(0, dy, 0), moved(0, dy + width - strip, 0)});
    }
}

void add_gear(PartList& list) {
    list.begin("gear");
    const double quarter = (P::width_mm / 2 - P::post_y_mm) / 4;
    int number = 0;
    for (const double y : {P::post_y_mm + 1.2 * quarter, P::post_y_mm + 3 * quarter,
                           P::width_mm / 2 + quarter, P::width_mm / 2 + 2.8 * quarter}) {
        add_locking_bar(list, std::to_string(++number), y);
    }
    add_hinges(list);
    add_gaskets(list);
}

}  // namespace

ContainerPlan::ContainerPlan(double gap_mm)
    : side_wall{side_wall_fold, 21, post_x_mm + gap_mm, length_mm - post_x_mm - gap_mm, sheet_mm},
      front_wall{front_wall_fold, 9, post_y_mm + gap_mm, width_mm - post_y_mm - gap_mm, sheet_mm},
      roof{roof_fold, 27, casting_x_mm + gap_mm, length_mm - casting_x_mm - gap_mm, sheet_mm} {}

std::vector<ContainerPart> container_parts(const ContainerOptions& options) {
    PartList list;
    add_frame(list);
    add_floor(list, options.panel_gap_mm);
    add_panels(list, options);
    if (options.doors) add_gear(list);
    return list.parts;
}

}  // namespace noonshell::test_support
