// Rooms that several bodies enclose together: one unit with the outermost body for its skin and the
// innermost room for its room. Areas and volumes against the closed forms of the made models.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "geometry/envelope.hpp"
#include "geometry/line_stretches.hpp"
#include "geometry/step_reader.hpp"
#include "tests/support/box_model.hpp"
#include "tests/support/lined_rooms.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

using test_support::lined_room_size_m;
using test_support::RoomFacts;
using test_support::terrace_house_size_m;
using test_support::write_beam_in_wall;
using test_support::write_crossed_panels;
using test_support::write_flat_row;
using test_support::write_lined_box;
using test_support::write_lined_plates;
using test_support::write_parted_room;
using test_support::write_terrace_house;
using test_support::write_two_storeys;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

class LinedRooms : public testing::Test {
  protected:
    Envelope build(const RolePatterns& patterns = {}) {
        model_ = read_step(folder_ / "m.step");
        warnings_.clear();
        roles_ = choose_roles(model_, patterns, {}, warnings_);
        Envelope envelope = build_envelope(model_, roles_, {});
        warnings_.insert(warnings_.end(), envelope.warnings.begin(), envelope.warnings.end());
        return envelope;
    }
    std::vector<std::string> codes() const {
        std::vector<std::string> codes;
        for (const Warning& warning : warnings_) codes.push_back(warning.code);
        return codes;
    }
    static void expect_room(const Envelope& envelope, const RoomFacts& facts, double share = 0.01) {
        ASSERT_EQ(envelope.units.size(), 1u);
        EXPECT_NEAR(envelope.units[0].floor_area_m2, facts.floor_m2, share * facts.floor_m2);
        EXPECT_NEAR(envelope.units[0].volume_m3, facts.volume_m3, share * facts.volume_m3);
    }
    void expect_room_of(const RoomFacts& facts) { expect_room(build(), facts); }
    /// Six sides of the outside measure, less the openings.
    static void expect_outside(const Envelope& envelope, double openings_m2 = 0) {
        const Vec3& size = lined_room_size_m;
        double area = 0;
        for (const Surface& surface : envelope.surfaces) area += surface.area_m2;
        const double sides =
            2 * (size.x() * size.y() + size.y() * size.z() + size.z() * size.x()) - openings_m2;
        EXPECT_NEAR(area, sides, 1e-3 * sides);
    }
    test_support::ScratchFolder folder_;
    Model model_;
    std::vector<RoleChoice> roles_;
    std::vector<Warning> warnings_;
};

TEST_F(LinedRooms, InsulationWithinASkinIsOneUnit) {
    const RoomFacts facts = write_lined_box(folder_ / "m.step", 0, 100);
    const Envelope envelope = build();
    expect_room(envelope, facts);
    expect_outside(envelope);
    EXPECT_EQ(envelope.units[0].id, "box");
    EXPECT_EQ(envelope.surfaces.size(), 6u);
    EXPECT_THAT(codes(), IsEmpty());
}

TEST_F(LinedRooms, LiningBehindACavityIsTheSameUnit) {
    const RoomFacts facts = write_lined_box(folder_ / "m.step", 50, 12);
    const Envelope envelope = build();
    expect_room(envelope, facts);
    expect_outside(envelope);
    EXPECT_THAT(codes(), IsEmpty());
}

TEST_F(LinedRooms, WindowIsCutOutOfTheSkinAndStaysInTheUnit) {
    const RoomFacts facts = write_lined_box(folder_ / "m.step", 0, 80, true);
    RolePatterns patterns;
    patterns.panes = {"window"};
    const Envelope envelope = build(patterns);
    expect_room(envelope, facts);
    expect_outside(envelope);
    EXPECT_EQ(std::ranges::count(envelope.surfaces, SurfaceKind::pane, &Surface::kind), 1);
    // Without a name it is taken for a part of the walls.
    expect_room(build(), facts);
}

TEST_F(LinedRooms, NamesOfTheBodiesOrTheAssemblyMakeOneUnitToo) {
    const RoomFacts facts = write_lined_box(folder_ / "m.step", 0, 100);
    for (const char* pattern : {"box", "skin", "*"}) {
        SCOPED_TRACE(pattern);
        RolePatterns patterns;
        patterns.units = {pattern};
        const Envelope envelope = build(patterns);
        expect_room(envelope, facts);
        expect_outside(envelope);
        EXPECT_EQ(envelope.units[0].bodies.size(), 2u);
        EXPECT_THAT(codes(), IsEmpty());
    }
    RolePatterns patterns;
    patterns.ignores = {"skin"};
    expect_room(build(patterns), facts);  // the lining stands by itself
}

TEST_F(LinedRooms, CavityOfAWallIsNoRoom) {
    for (const double cavity_mm : {30.0, 50.0, 100.0}) {
        SCOPED_TRACE(cavity_mm);
        const RoomFacts facts = write_lined_plates(folder_ / "m.step", cavity_mm);
        const Envelope envelope = build();
        expect_room(envelope, facts);
        expect_outside(envelope);
        EXPECT_THAT(codes(), IsEmpty());
    }
}

TEST_F(LinedRooms, PanelsThatRunIntoEachOtherAreAllMatter) {
    expect_room_of(write_crossed_panels(folder_ / "m.step"));
    expect_room_of(write_beam_in_wall(folder_ / "m.step"));
}

TEST_F(LinedRooms, StoreysAddUpAndAreTold) {
    expect_room_of(write_two_storeys(folder_ / "m.step"));
    EXPECT_THAT(codes(), ElementsAre("several-rooms"));
    EXPECT_THAT(warnings_[0].text, HasSubstr("2 rooms"));
}

TEST_F(LinedRooms, PartitionMakesTwoRoomsAndADoorwayJoinsThem) {
    expect_room_of(write_parted_room(folder_ / "m.step", false));
    EXPECT_THAT(codes(), ElementsAre("several-rooms"));
    expect_room_of(write_parted_room(folder_ / "m.step", true));
    EXPECT_THAT(codes(), IsEmpty());
}

TEST_F(LinedRooms, WallsOfAnyThicknessAreMatter) {
    const double length = 8, width = 6, height = 2.6;  // of the room
    for (const double t : {0.24, 0.3, 0.365, 0.5, 0.7}) {
        SCOPED_TRACE(t);
        const test_models::BoxModel made =
            test_models::box_model({{"floor", {-t, -t, -t}, {length + 2 * t, width + 2 * t, t}},
                                    {"roof", {-t, -t, height}, {length + 2 * t, width + 2 * t, t}},
                                    {"south", {-t, -t, 0}, {length + 2 * t, t, height}},
                                    {"north", {-t, width, 0}, {length + 2 * t, t, height}},
                                    {"west", {-t, 0, 0}, {t, width, height}},
                                    {"east", {length, 0, 0}, {t, width, height}}});
        const auto roles = choose_roles(made.model, {}, {}, warnings_);
        const double floor_m2 = length * width;
        expect_room(build_envelope(made.model, roles, {}), {floor_m2, floor_m2 * height});
    }
}

TEST_F(LinedRooms, ARoofedTerraceBeforeADoorwayIsNoRoom) {
    for (const bool one_solid : {false, true}) {
        for (const double terrace_m : {0.0, 0.5, 2.0, 4.0}) {
            SCOPED_TRACE(std::to_string(one_solid) + " " + std::to_string(terrace_m));
            expect_room_of(write_terrace_house(folder_ / "m.step",
                                               {.terrace_m = terrace_m, .one_solid = one_solid}));
        }
    }
}

TEST_F(LinedRooms, ALeafInADoorwayClosesTheUnit) {
    const RoomFacts facts =
        write_terrace_house(folder_ / "m.step", {.terrace_m = 0, .leaf = true, .one_solid = true});
    const Envelope envelope = build();
    expect_room(envelope, facts);
    EXPECT_THAT(codes(), IsEmpty());
    ASSERT_EQ(envelope.units[0].bodies.size(), 2u);
    const Vec3& size = terrace_house_size_m;
    for (const Surface& surface : envelope.surfaces) {
        if (surface.id != "shell/wall-s") continue;
        EXPECT_NEAR(surface.area_m2, size.x() * size.z(), 1e-3 * size.x() * size.z());
    }
    EXPECT_EQ(envelope.surfaces.size(), 6u);
}

/// 50 mm thick, 0.9 m by 2.1 m: not before the doorway, nor in the middle of the room, nor upon the
/// roof.
TEST_F(LinedRooms, APlateThatFillsNoOpeningIsNoLeaf) {
    for (const Vec3& corner : {Vec3(5, -0.12, 0.2), Vec3(5, 3, 0.2), Vec3(5, 3, 3)}) {
        SCOPED_TRACE(corner.transpose());
        write_terrace_house(folder_ / "m.step", {.terrace_m = 0, .one_solid = true});
        test_models::BoxModel both;
        both.model = read_step(folder_ / "m.step");
        test_models::add_box(both, {"door", corner, {0.9, 0.05, 2.1}});
        const auto roles = choose_roles(both.model, {}, {}, warnings_);
        ASSERT_EQ(roles.size(), 2u);
        EXPECT_EQ(roles[1].role, Role::shade);
        EXPECT_EQ(roles[0].unit, "");
    }
}

TEST_F(LinedRooms, BoxesExportedFlatAreUnitsWhereTheyStandApart) {
    const RoomFacts facts = write_flat_row(folder_ / "m.step", 1500);
    for (const char* pattern : {"", "export"}) {
        SCOPED_TRACE(pattern);
        RolePatterns patterns;
        if (*pattern != 0) patterns.units = {pattern};
        const Envelope envelope = build(patterns);
        ASSERT_EQ(envelope.units.size(), 2u);
        EXPECT_EQ(envelope.units[0].id, "export-1");
        EXPECT_EQ(envelope.units[1].id, "export-2");
        for (const Unit& unit : envelope.units) {
            EXPECT_NEAR(unit.floor_area_m2, facts.floor_m2, 0.01 * facts.floor_m2);
            EXPECT_NEAR(unit.volume_m3, facts.volume_m3, 0.01 * facts.volume_m3);
            EXPECT_EQ(unit.surfaces.size(), 6u);
        }
        EXPECT_THAT(codes(), IsEmpty());
    }
    // The user's own table is not taken apart, but told of.
    RolePatterns patterns;
    patterns.named_units = {{"row", {"export"}}};
    EXPECT_EQ(build(patterns).units.size(), 1u);
    EXPECT_THAT(codes(), Contains("several-rooms"));
}

TEST_F(LinedRooms, BoxesExportedFlatSideBySideAreToldAsTwoRooms) {
    write_flat_row(folder_ / "m.step", 20);
    EXPECT_EQ(build().units.size(), 1u);
    EXPECT_THAT(codes(), Contains("several-rooms"));
}

TEST(LineStretches, MatterOfSeveralSolidsIsThereToTheEndOfTheLast) {
    // Solid 1 from 1 to 3 with its entry met twice, solid 2 from 2 to 7, a shell at 9, and solid 3
    // entered but never left.
    const RayMesh::Crossing into1{1, true, true, 1}, out1{3, false, true, 1};
    const RayMesh::Crossing into2{2, true, true, 2}, out2{7, false, true, 2};
    const RayMesh::Crossing shell{9, false, false, 4}, into3{12, true, true, 3};
    const std::vector<RayMesh::Crossing> line{into1, into1, into2, out1, out2, shell, into3};
    const auto matter = matter_stretches(line);
    ASSERT_EQ(matter.size(), 2u);
    EXPECT_EQ(matter[0].high_m, 3);
    EXPECT_EQ(matter[1].low_m, 2);
    const auto free = free_stretches(line, 1.5);
    ASSERT_EQ(free.size(), 2u);
    EXPECT_EQ(free[0].low_m, 7);
    EXPECT_EQ(free[0].high_m, 9);
    EXPECT_EQ(free[1].low_m, 9);
    EXPECT_EQ(free[1].high_m, 12);
}

TEST(RoomsInRooms, OnlyWhatFillsMostOfTheRoomAboutItIsALining) {
    // A container in a hall is a unit of its own.
    auto boxes = test_models::box_model(
        {{"hall", {0, 0, 0}, {20, 10, 6}}, {"container", {2, 2, 0.1}, {6, 2.4, 2.6}}});
    std::vector<Warning> warnings;
    auto roles = choose_roles(boxes.model, {}, {}, warnings);
    EXPECT_TRUE(roles[0].unit.empty());
    EXPECT_TRUE(roles[1].unit.empty());
    // The same box drawn twice, and boxes that stand side by side, are no linings of each other.
    boxes = test_models::box_model({{"a", {0, 0, 0}, {6, 2.4, 2.6}},
                                    {"b", {0, 0, 0}, {6, 2.4, 2.6}},
                                    {"c", {6, 0, 0}, {6, 2.4, 2.5}}});
    roles = choose_roles(boxes.model, {}, {}, warnings);
    for (const RoleChoice& role : roles) EXPECT_TRUE(role.unit.empty());
}

TEST(RoomsInRooms, ACourtUnderTheSkyIsNoInside) {
    // Four plates about a court, one body, and a box in it that reaches as high as they do.
    test_models::BoxModel court;
    test_models::start_body(court, "court", Role::unit);
    for (const test_models::Box& wall : {test_models::Box{"s", {0, 0, 0}, {8, 0.3, 2.8}},
                                         test_models::Box{"n", {0, 3.7, 0}, {8, 0.3, 2.8}},
                                         test_models::Box{"w", {0, 0.3, 0}, {0.3, 3.4, 2.8}},
                                         test_models::Box{"e", {7.7, 0.3, 0}, {0.3, 3.4, 2.8}}}) {
        const auto one = test_models::box_model({wall});
        for (const Face& face : one.model.faces) {
            std::vector<test_models::Polygon3> triangles;
            for (std::uint32_t t = 0; t < face.n_triangles; ++t) {
                const auto at = face.first_triangle + t;
                triangles.push_back({one.model.mesh.corner(at, 0), one.model.mesh.corner(at, 1),
                                     one.model.mesh.corner(at, 2)});
            }
            test_models::add_face(court.model, triangles);
        }
    }
    test_models::finish_body(court);
    test_models::add_box(court, {"box", {0.5, 0.5, 0}, {7, 3, 2.7}});
    std::vector<Warning> warnings;
    const auto roles = choose_roles(court.model, {}, {}, warnings);
    EXPECT_EQ(roles[1].role, Role::unit);
    EXPECT_TRUE(roles[1].unit.empty());
}

}  // namespace
}  // namespace noonshell
