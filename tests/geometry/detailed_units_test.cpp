// Units drawn in detail: corrugated panels, frames and gear; hollow bodies; open shells. Sizes and
// areas against the closed forms of the programs that make the models.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>

#include "geometry/block_writer.hpp"
#include "geometry/enclosure.hpp"
#include "geometry/envelope.hpp"
#include "geometry/step_reader.hpp"
#include "geometry/visibility.hpp"
#include "tests/support/box_model.hpp"
#include "tests/support/corrugation.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/folded_shades.hpp"
#include "tests/support/hollow_bodies.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

using test_models::box_model;
using test_support::ContainerForm;
using test_support::ContainerOptions;
using test_support::write_detailed_container;
using testing::HasSubstr;

const Surface& surface(const Envelope& envelope, const std::string& id) {
    const auto found = std::find_if(envelope.surfaces.begin(), envelope.surfaces.end(),
                                    [&](const Surface& s) { return s.id == id; });
    if (found == envelope.surfaces.end()) throw std::out_of_range(id);
    return *found;
}

RolePatterns units(std::vector<std::string> names) {
    RolePatterns patterns;
    patterns.units = std::move(names);
    return patterns;
}

RolePatterns panes(std::vector<std::string> names) {
    RolePatterns patterns;
    patterns.panes = std::move(names);
    return patterns;
}

Block block(std::string name, const Vec3& corner_m, const Vec3& size_m,
            std::optional<Rgb> colour = {}) {
    Block made;
    made.name = std::move(name);
    made.corner_m = corner_m;
    made.size_m = size_m;
    made.colour = colour;
    return made;
}

class DetailedUnits : public testing::Test {
  protected:
    Envelope build(const std::string& name, const RolePatterns& patterns = {},
                   const EnvelopeOptions& options = {}) {
        model_ = read_step(folder_ / name);
        warnings_.clear();
        roles_ = choose_roles(model_, patterns, {}, warnings_);
        return build_envelope(model_, roles_, options);
    }
    test_support::ScratchFolder folder_;
    Model model_;
    std::vector<RoleChoice> roles_;
    std::vector<Warning> warnings_;
};

void expect_sides_of_a_plain_box(const Envelope& envelope, const std::string& unit,
                                 const Vec3& outer_m) {
    const auto area = [&](const std::string& side) {
        return surface(envelope, unit + "/" + side).area_m2;
    };
    const double x = outer_m.x(), y = outer_m.y(), z = outer_m.z();
    EXPECT_NEAR(area("roof"), x * y, 0.01 * x * y);
    EXPECT_NEAR(area("floor"), x * y, 0.01 * x * y);
    EXPECT_NEAR(area("wall-n"), x * z, 0.01 * x * z);
    EXPECT_NEAR(area("wall-s"), x * z, 0.01 * x * z);
    EXPECT_NEAR(area("wall-e"), y * z, 0.01 * y * z);
    EXPECT_NEAR(area("wall-w"), y * z, 0.01 * y * z);
}

TEST_F(DetailedUnits, AssemblyBecomesOneUnitWithTheSidesOfItsBox) {
    const auto facts = write_detailed_container(folder_ / "c.step", {});
    ASSERT_GE(facts.n_faces, 2000u);
    const Envelope envelope = build("c.step");
    ASSERT_EQ(envelope.units.size(), 1u);
    EXPECT_EQ(envelope.units[0].id, "container");
    EXPECT_EQ(envelope.units[0].bodies.size(), facts.n_solids);
    EXPECT_EQ(envelope.surfaces.size(), 6u);
    EXPECT_TRUE(envelope.warnings.empty());
    expect_sides_of_a_plain_box(envelope, "container", facts.outer_m);
    EXPECT_NEAR(envelope.units[0].floor_area_m2, facts.floor_m2, 0.01 * facts.floor_m2);
    EXPECT_NEAR(envelope.units[0].volume_m3, facts.room_m3, 0.01 * facts.room_m3);
    // Its floor lies on the ground: cross-members stand 17 mm above the castings' feet.
    EXPECT_LT(surface(envelope, "container/floor").exposed_area_m2, 0.01 * facts.floor_m2);
}

TEST_F(DetailedUnits, FoldsOfTheSheetReachTheDevelopedArea) {
    const auto facts = write_detailed_container(folder_ / "c.step", {});
    EXPECT_NEAR(facts.side_wall.ratio(), 1.065, 0.0005);  // flats and slopes of the trade's sheet
    const Envelope envelope = build("c.step");
    // Posts and rails around the sheet are flat; their inner lips add less than one percent.
    const Surface& wall = surface(envelope, "container/wall-s");
    const double frame_m2 = wall.area_m2 - facts.side_wall.projected_m2;
    const double expected_m2 = facts.side_wall.developed_m2 + frame_m2;
    EXPECT_NEAR(wall.developed_area_m2, expected_m2, 0.01 * expected_m2);
    EXPECT_GT(wall.n_faces, 80u);
    EXPECT_EQ(wall.faces.size(), wall.n_faces);
    // And facets are those of a flat wall: the strips cost nothing.
    EXPECT_LT(wall.n_facets, 100u);
}

TEST_F(DetailedUnits, OnePartOfManySolidsWithGapsIsTheSameUnit) {
    ContainerOptions options;
    options.form = ContainerForm::compound;
    options.panel_gap_mm = 5;
    options.unit = LengthUnit::inch;
    const auto facts = write_detailed_container(folder_ / "c.step", options);
    const Envelope envelope = build("c.step");
    ASSERT_EQ(envelope.units.size(), 1u);
    EXPECT_EQ(envelope.surfaces.size(), 6u);
    expect_sides_of_a_plain_box(envelope, envelope.units[0].id, facts.outer_m);
    EXPECT_NEAR(envelope.units[0].volume_m3, facts.room_m3, 0.02 * facts.room_m3);
}

TEST_F(DetailedUnits, PlacedTurnedMirroredAndStackedEachIsAUnitOfItsOwn) {
    ContainerOptions options;
    options.placements = {{"alpha", {0, 0, 0}, 0, false},
                          {"beta", {0, 5, 0}, 30, false},
                          {"gamma", {12, 0, 0}, 90, true},
                          {"delta", {0, 0, 2.6}, 0, false}};
    const auto facts = write_detailed_container(folder_ / "c.step", options);
    const Envelope envelope = build("c.step");
    ASSERT_EQ(envelope.units.size(), 4u);
    for (const Unit& unit : envelope.units) {
        EXPECT_EQ(unit.surfaces.size(), 6u) << unit.id;
        EXPECT_NEAR(unit.floor_area_m2, facts.floor_m2, 0.01 * facts.floor_m2) << unit.id;
    }
    // The upper one covers the roof of the lower one, and only that.
    EXPECT_LT(surface(envelope, "alpha/roof").exposed_area_m2, 0.2);
    EXPECT_LT(surface(envelope, "delta/floor").exposed_area_m2, 0.2);
    const Surface& turned = surface(envelope, "beta/wall-nw");
    EXPECT_NEAR(turned.azimuth_deg, 330, 1e-3);
}

TEST_F(DetailedUnits, OpenEndIsReportedAndItsInsideIsNoSkin) {
    ContainerOptions options;
    options.doors = false;
    const auto facts = write_detailed_container(folder_ / "c.step", options);
    const Envelope envelope = build("c.step");
    ASSERT_EQ(envelope.units.size(), 1u);
    const double x = facts.outer_m.x(), y = facts.outer_m.y(), z = facts.outer_m.z();
    EXPECT_NEAR(surface(envelope, "container/wall-n").area_m2, x * z, 0.01 * x * z);
    // Flanks of the sheets' inner faces that look out of the end are no part of the walls.
    const double frame_m2 = x * z - facts.side_wall.projected_m2;
    EXPECT_NEAR(surface(envelope, "container/wall-n").developed_area_m2,
                facts.side_wall.developed_m2 + frame_m2,
                0.01 * (facts.side_wall.developed_m2 + frame_m2));
    // The room goes on from the inner face of the doors to the end of the frame, 80 mm farther.
    const double room_m3 = facts.room_m3 * (1 + 0.080 / facts.clear_m.x());
    EXPECT_NEAR(envelope.units[0].volume_m3, room_m3, 0.01 * room_m3);
    EXPECT_LT(surface(envelope, "container/wall-e").area_m2, 0.25 * y * z);
    ASSERT_FALSE(envelope.warnings.empty());
    EXPECT_EQ(envelope.warnings[0].code, "unit-open");
    EXPECT_THAT(envelope.warnings[0].text, HasSubstr("5.19 m2"));
}

TEST_F(DetailedUnits, RoomReachesToItsOpenEnd) {
    // Closed forms: all is straight and square.
    const Vec3 size(6, 2.4, 2.6);
    const auto facts = test_support::write_open_ended_box(folder_ / "t.step", size, 60);
    const Envelope solid = build("t.step");
    ASSERT_EQ(solid.units.size(), 1u);
    EXPECT_NEAR(solid.units[0].volume_m3, facts.void_m3, 0.01 * facts.void_m3);
    EXPECT_NEAR(solid.units[0].floor_area_m2, facts.inner_floor_m2, 0.01 * facts.inner_floor_m2);
    EXPECT_NEAR(surface(solid, "tunnel/wall-n").area_m2, 6 * 2.6, 1e-3);
    EXPECT_NEAR(surface(solid, "tunnel/wall-s").area_m2, 6 * 2.6, 1e-3);
    EXPECT_NEAR(surface(solid, "tunnel/roof").area_m2, 6 * 2.4, 1e-3);
    EXPECT_NEAR(surface(solid, "tunnel/wall-e").area_m2, 2.4 * 2.6 - 2.28 * 2.48, 1e-3);

    test_support::write_shell_without_end(folder_ / "s.step", size);
    const Envelope sheet = build("s.step");
    ASSERT_EQ(sheet.units.size(), 1u);
    EXPECT_NEAR(sheet.units[0].volume_m3, size.prod(), 0.01 * size.prod());
    EXPECT_NEAR(sheet.units[0].floor_area_m2, 6 * 2.4, 0.01 * 6 * 2.4);
    EXPECT_NEAR(surface(sheet, "shell/wall-n").area_m2, 6 * 2.6, 1e-3);
    ASSERT_EQ(sheet.warnings.size(), 1u);
    EXPECT_THAT(sheet.warnings[0].text, HasSubstr("opening of 6.24 m2 to the east"));
}

TEST_F(DetailedUnits, FoldedShadeIsOneSurfaceASide) {
    // An invented roof of folded sheet, 6 m along its folds and some 5 m across, 0.8 mm thick.
    const test_support::Trapezium fold{90, 30, 80, 40};
    const test_support::FoldedSheet sheet{fold, 21, 0, 5000, 0.8};
    test_support::write_folded_shade(folder_ / "s.step", sheet, 6.0, 3.0);
    RolePatterns patterns = units({"hut"});
    patterns.shades = {"shade"};
    const Envelope envelope = build("s.step", patterns);
    const double flat_m2 = 5.0 * 6.0, developed_m2 = sheet.developed_mm() / 1000 * 6.0;
    for (const std::string side : {"shade/top", "shade/underside"}) {
        const Surface& one = surface(envelope, side);
        EXPECT_EQ(one.kind, SurfaceKind::shade);
        EXPECT_NEAR(one.area_m2, flat_m2, 1e-3 * flat_m2) << side;
        EXPECT_NEAR(one.developed_area_m2, developed_m2, 0.01 * developed_m2) << side;
        EXPECT_NEAR(one.relief_ratio(), sheet.developed_mm() / sheet.length_mm(), 0.01) << side;
        EXPECT_LT(one.n_facets, 150u);
        EXPECT_GT(one.n_faces, 80u);
    }
    // It blocks the sun with its two flat sheets, no more: their outlines are the shade's own.
    double blocking_m2 = 0;
    for (std::size_t t = 0; t < envelope.blockers.triangles.size(); ++t) {
        const SurfaceId of = envelope.triangle_surface[t];
        if (!of.valid() || envelope.surfaces[of.index()].kind != SurfaceKind::shade) continue;
        const Vec3 a = envelope.blockers.corner(t, 0);
        const Vec3 twice =
            (envelope.blockers.corner(t, 1) - a).cross(envelope.blockers.corner(t, 2) - a);
        blocking_m2 += std::abs(twice.z()) / 2;
    }
    EXPECT_NEAR(blocking_m2, 2 * flat_m2, 1e-3 * flat_m2);
}

TEST_F(DetailedUnits, SlatsOfAShadeStaySlats) {
    // Twelve slats at 45 degrees, 0.1 m apart, in one part: sun passes between them.
    test_support::write_slats(folder_ / "s.step", 12, 0.1, 0.1);
    RolePatterns patterns = units({"hut"});
    patterns.shades = {"slats*"};
    const Envelope envelope = build("s.step", patterns);
    double upper_m2 = 0;
    for (const Surface& one : envelope.surfaces) {
        if (one.kind != SurfaceKind::shade || one.tilt_deg > 50 || one.tilt_deg < 40) continue;
        upper_m2 += one.area_m2;
        EXPECT_NEAR(one.relief_ratio(), 1, 1e-9);
    }
    EXPECT_NEAR(upper_m2, 12 * (0.1 + 0.004) * 2.0, 1e-6);  // faces, and edges that look up too
}

TEST_F(DetailedUnits, OpeningsAreToldByCompass) {
    test_support::write_shell_without_end(folder_ / "s.step", {6, 2.4, 2.6});
    EnvelopeOptions turned;
    turned.north_deg = 45;  // +Y faces north-east, so +X faces south-east
    const Envelope envelope = build("s.step", {}, turned);
    ASSERT_EQ(envelope.warnings.size(), 1u);
    EXPECT_THAT(envelope.warnings[0].text, HasSubstr("m2 to the south-east;"));
    test_support::write_open_shell(folder_ / "top.step", {6, 2.4, 2.6}, 5, 0);
    const Envelope no_top = build("top.step", units({"*"}));
    ASSERT_FALSE(no_top.warnings.empty());
    EXPECT_THAT(no_top.warnings[0].text, HasSubstr("m2 above;"));
}

TEST_F(DetailedUnits, PatternsNameTheAssemblyTheUnitOrItsParts) {
    ContainerOptions options;
    options.placements = {{"alpha", {0, 0, 0}, 0, false}, {"beta", {0, 5, 0}, 0, false}};
    write_detailed_container(folder_ / "c.step", options);
    const Envelope by_assembly = build("c.step", units({"alpha", "beta"}));
    ASSERT_EQ(by_assembly.units.size(), 2u);
    EXPECT_EQ(by_assembly.units[0].id, "alpha");
    EXPECT_FALSE(roles_[0].guessed);
    EXPECT_TRUE(warnings_.empty());

    RolePatterns named;
    named.named_units = {{"shop", {"alpha"}}};
    named.ignores = {"beta"};
    const Envelope by_table = build("c.step", named);
    ASSERT_EQ(by_table.units.size(), 1u);
    EXPECT_EQ(by_table.units[0].id, "shop");
}

TEST_F(DetailedUnits, HollowSolidIsMeasuredInside) {
    const auto closed = test_support::write_hollow_box(folder_ / "h.step", {6, 2.4, 2.6}, 100);
    const Envelope envelope = build("h.step");
    ASSERT_EQ(envelope.surfaces.size(), 6u);
    EXPECT_NEAR(envelope.units[0].volume_m3, closed.void_m3, 1e-6);
    EXPECT_NEAR(envelope.units[0].floor_area_m2, closed.inner_floor_m2,
                0.01 * closed.inner_floor_m2);
    EXPECT_NEAR(surface(envelope, "hollow/roof").area_m2, 6 * 2.4, 1e-6);
    EXPECT_TRUE(envelope.warnings.empty());
}

TEST_F(DetailedUnits, DoorwayIsAnOpeningOfItsSize) {
    const auto facts = test_support::write_hollow_box(folder_ / "h.step", {6, 2.4, 2.6}, 60,
                                                      test_support::Doorway{0.9, 2.0});
    const Envelope envelope = build("h.step");
    ASSERT_EQ(envelope.surfaces.size(), 6u);
    EXPECT_NEAR(surface(envelope, "hollow/wall-e").area_m2, 2.4 * 2.6 - 0.9 * 2.0, 1e-3);
    EXPECT_NEAR(envelope.units[0].volume_m3, facts.void_m3, 0.01 * facts.void_m3);
    ASSERT_EQ(envelope.warnings.size(), 1u);
    EXPECT_THAT(envelope.warnings[0].text, HasSubstr("opening of 1.8 m2"));
}

TEST_F(DetailedUnits, ShellWithGapsClosesAndOneWithoutATopDoesNot) {
    test_support::write_open_shell(folder_ / "six.step", {6, 2.4, 2.6}, 6, 10);
    const Envelope closed = build("six.step");
    ASSERT_EQ(closed.surfaces.size(), 6u);
    EXPECT_NEAR(closed.units[0].volume_m3, 6 * 2.4 * 2.6, 0.01 * 6 * 2.4 * 2.6);
    EXPECT_THAT(roles_[0].why, HasSubstr("open shell that encloses"));

    test_support::write_open_shell(folder_ / "five.step", {6, 2.4, 2.6}, 5, 0);
    EXPECT_THROW(build("five.step"), NoUnitError);
    EXPECT_THAT(roles_[0].why, HasSubstr("encloses no room"));
}

TEST_F(DetailedUnits, FiguresOfTheUserCount) {
    write_blocks({block("a", {0, 0, 0}, {6, 2.4, 2.6})}, folder_ / "a.step", {});
    EnvelopeOptions options;
    options.unit_figures = {{"a", 12.5, 30.0}};
    const Envelope envelope = build("a.step", {}, options);
    EXPECT_EQ(envelope.units[0].floor_area_m2, 12.5);
    EXPECT_EQ(envelope.units[0].volume_m3, 30.0);
    EXPECT_EQ(envelope.units[0].how, "floor area and volume given");
    EXPECT_TRUE(envelope.warnings.empty());
    options.unit_figures = {{"b", 12.5, {}}};
    const Envelope idle = build("a.step", {}, options);
    ASSERT_EQ(idle.warnings.size(), 1u);
    EXPECT_EQ(idle.warnings[0].code, "unit-figure-matches-nothing");
}

TEST_F(DetailedUnits, PaneTakesItsOpeningOutOfTheWall) {
    const Vec3 size(6, 2.4, 2.6);
    write_blocks({block("a", {0, 0, 0}, size), block("window", {2, -0.02, 1}, {1.5, 0.04, 1}),
                  block("skylight", {4, 1, 2.55}, {0.8, 0.8, 0.1})},
                 folder_ / "a.step", {});
    const Envelope envelope = build("a.step", panes({"window", "skylight"}));
    ASSERT_EQ(envelope.surfaces.size(), 8u);
    const Surface& window = surface(envelope, "a/window");
    EXPECT_EQ(window.kind, SurfaceKind::pane);
    EXPECT_NEAR(window.area_m2, 1.5, 1e-6);
    EXPECT_NEAR(window.azimuth_deg, 180, 1e-6);
    EXPECT_NEAR(surface(envelope, "a/wall-s").area_m2, 6 * 2.6 - 1.5, 1e-6);
    EXPECT_NEAR(surface(envelope, "a/roof").area_m2, 6 * 2.4 - 0.64, 1e-6);
    EXPECT_NEAR(surface(envelope, "a/skylight").area_m2, 0.64, 1e-6);
    EXPECT_TRUE(envelope.warnings.empty());
    // Nothing but the skin blocks rays: the wall with its hole, and the pane in it.
    double blocking_m2 = 0;
    for (std::size_t t = 0; t < envelope.blockers.triangles.size(); ++t) {
        const Vec3 a = envelope.blockers.corner(t, 0);
        blocking_m2 +=
            (envelope.blockers.corner(t, 1) - a).cross(envelope.blockers.corner(t, 2) - a).norm() /
            2;
    }
    EXPECT_NEAR(blocking_m2, 2 * (6 * 2.4 + 6 * 2.6 + 2.4 * 2.6), 1e-5);
}

TEST_F(DetailedUnits, PanesByColourAndFacesOfTheirOwn) {
    const Rgb blue{0.25F, 0.5F, 1.0F}, red{1.0F, 0.25F, 0.0F};
    write_blocks({block("a", {0, 0, 0}, {6, 2.4, 2.6}, red),
                  block("glass", {2, -0.02, 1}, {1, 0.04, 1}, blue)},
                 folder_ / "a.step", {});
    RolePatterns patterns;
    patterns.pane_colours = {blue};
    EnvelopeOptions options;
    options.apart.surfaces = {{"painted", {}, {red}}};
    const Envelope envelope = build("a.step", patterns, options);
    EXPECT_EQ(roles_[1].role, Role::pane);
    EXPECT_EQ(surface(envelope, "a/glass").kind, SurfaceKind::pane);
    // All faces of the box are red: six surfaces of their own, named by where they face.
    EXPECT_EQ(surface(envelope, "a/painted-n").kind, SurfaceKind::wall);
    EXPECT_NEAR(surface(envelope, "a/painted-s").area_m2, 6 * 2.6 - 1, 1e-6);
}

TEST(Enclosure, HoleInTheRoofAndPillarsDoNoHarm) {
    // Four walls, a roof and a pillar as bodies of their own on the ground.
    auto boxes = box_model({{"n", {0, 2.9, 0}, {5, 0.1, 2.5}},
                            {"s", {0, 0, 0}, {5, 0.1, 2.5}},
                            {"w", {0, 0.1, 0}, {0.1, 2.8, 2.5}},
                            {"e", {4.9, 0.1, 0}, {0.1, 2.8, 2.5}},
                            {"roof", {0, 0, 2.5}, {5, 3, 0.1}},
                            {"pillar", {2, 1, 0}, {0.5, 0.5, 2.5}}});
    std::vector<BodyId> all;
    for (std::size_t b = 0; b < boxes.model.bodies.size(); ++b) all.push_back(BodyId(b));
    const RayMesh mesh = ray_mesh_of(boxes.model, all);
    const Enclosure room = measure_enclosure(boxes.model, all, mesh, 0);
    const double floor_m2 = 4.8 * 2.8 - 0.25;
    EXPECT_NEAR(room.floor_area_m2, floor_m2, 0.01 * floor_m2);
    EXPECT_NEAR(room.volume_m3, floor_m2 * 2.5, 0.01 * floor_m2 * 2.5);
    EXPECT_EQ(room.n_rooms, 1);
    // Without the ground nothing closes it below.
    EXPECT_FALSE(measure_enclosure(boxes.model, all, mesh, std::nan("")).found());
}

TEST(Visibility, OutsideAndInsideOfABoxInABox) {
    auto boxes = box_model({{"outer", {0, 0, 0}, {4, 4, 4}}, {"inner", {1, 1, 1}, {1, 1, 1}}});
    const BodyId all[] = {BodyId(0), BodyId(1)};
    const auto seen = openness_of_faces(boxes.model, all, ray_mesh_of(boxes.model, all));
    for (std::size_t f = 0; f < 6; ++f) {
        EXPECT_EQ(seen[f].front.all_round, 1.0);
        EXPECT_EQ(seen[f].behind.all_round, 0.0);
        EXPECT_EQ(seen[6 + f].front.all_round, 0.0);
    }
}

TEST(Visibility, WallBeforeAWallSeesTheShareOfItsViewFactor) {
    // Two facing squares of side 2 at distance 1: view factor 0.4152 [incropera] table 13.2.
    auto boxes = box_model({{"a", {0, 0, 0}, {0.1, 2, 2}}, {"b", {1.1, 0, 0}, {0.1, 2, 2}}});
    const BodyId all[] = {BodyId(0), BodyId(1)};
    const auto seen = openness_of_faces(boxes.model, all, ray_mesh_of(boxes.model, all));
    const auto towards_b = std::min_element(seen.begin(), seen.begin() + 6, [](auto& p, auto& q) {
        return p.front.all_round < q.front.all_round;
    });
    EXPECT_NEAR(towards_b->front.all_round, 1 - 0.4152, 0.07);  // 128 rays
}

}  // namespace
}  // namespace noonshell
