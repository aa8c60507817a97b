// Openings between the closed solids that make up a room: joints just below and above what is
// closed, panels that are missing. All sizes are those of the boxes drawn.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr double length_m = 6, width_m = 2.4, height_m = 2.6, thick_m = 0.05;

/// Walls between floor and roof, end walls between side walls. `below_roof_m`: of the walls' upper
/// ends under the roof; `between_m`: in the middle of the south wall, which is two panels.
struct Joints {
    double below_roof_m = 0, between_m = 0;
};

std::vector<Box> panels(const Joints& joints) {
    const double wall_m = height_m - 2 * thick_m - joints.below_roof_m;
    const double half_m = (length_m - joints.between_m) / 2;
    return {
        {"floor", {0, 0, 0}, {length_m, width_m, thick_m}},
        {"roof", {0, 0, height_m - thick_m}, {length_m, width_m, thick_m}},
        {"south-1", {0, 0, thick_m}, {half_m, thick_m, wall_m}},
        {"south-2", {length_m - half_m, 0, thick_m}, {half_m, thick_m, wall_m}},
        {"north", {0, width_m - thick_m, thick_m}, {length_m, thick_m, wall_m}},
        {"west", {0, thick_m, thick_m}, {thick_m, width_m - 2 * thick_m, wall_m}},
        {"east", {length_m - thick_m, thick_m, thick_m}, {thick_m, width_m - 2 * thick_m, wall_m}}};
}

Envelope cut(std::vector<Box> boxes, double turn_deg = 0) {
    for (Box& box : boxes) {
        box.corner_m = test_models::turned(box.corner_m, turn_deg);
        box.turn_deg = turn_deg;
    }
    test_models::BoxModel made = test_models::box_model(boxes);
    for (RoleChoice& choice : made.roles) choice.unit = "room";
    return build_envelope(made.model, made.roles, {});
}

std::vector<Box> without(std::vector<Box> boxes, const std::string& name) {
    std::erase_if(boxes, [&](const Box& box) { return box.name == name; });
    return boxes;
}

std::string printed(const char* form, double value) {
    char text[64];
    std::snprintf(text, sizeof text, form, value);
    return text;
}

/// Of the one warning that there must be.
std::string only_opening(const Envelope& envelope) {
    std::string text;
    for (const Warning& warning : envelope.warnings) {
        if (warning.code != "unit-open") continue;
        EXPECT_TRUE(text.empty()) << text << "\n" << warning.text;
        text = warning.text;
    }
    return text;
}

TEST(UnitOpenings, PanelsThatTouchHaveNone) {
    const Envelope envelope = cut(panels({}));
    EXPECT_THAT(envelope.units.at(0).repaired, IsEmpty());
    EXPECT_EQ(only_opening(envelope), "");
}

// The underside of eaves is one face with the ceiling, the top of a plinth one with the floor: area
// vectors of what is seen from outside do not cancel, and nothing is open.
TEST(UnitOpenings, EavesAndPlinthsAreNone) {
    const auto widened = [](std::vector<Box> boxes, const std::string& name, double by_m) {
        for (Box& box : boxes) {
            if (box.name != name) continue;
            box.corner_m -= Vec3(by_m, by_m, 0);
            box.size_m += Vec3(2 * by_m, 2 * by_m, 0);
        }
        return boxes;
    };
    for (const double by_m : {0.5, 2.0}) {
        EXPECT_EQ(only_opening(cut(widened(panels({}), "roof", by_m))), "") << by_m;
        EXPECT_EQ(only_opening(cut(widened(panels({}), "floor", by_m))), "") << by_m;
    }
    std::string all;
    for (const Warning& warning : cut(without(widened(panels({}), "roof", 0.5), "west")).warnings)
        all += warning.text + "\n";
    EXPECT_THAT(all, HasSubstr("m2 to the west, 2.5 m by 2.3 m"));
    EXPECT_THAT(all, testing::Not(HasSubstr("m2 below")));
}

// Where a wall stands on the floor there is no room, whichever of the two faces is met first.
TEST(UnitOpenings, TheRoomEndsAtTheWallsThatStandOnTheFloor) {
    const double clear_m2 = (length_m - 2 * thick_m) * (width_m - 2 * thick_m);
    for (const double joint_m : {0.0, 0.02, 0.059, 0.061, 0.1}) {
        EXPECT_NEAR(cut(panels({joint_m, 0})).units.at(0).floor_area_m2, clear_m2, 0.01 * clear_m2)
            << joint_m;
    }
}

TEST(UnitOpenings, JointsUpToTheLimitAreClosedAndTold) {
    for (const int mm : {20, 59}) {
        for (const Joints& joints : {Joints{mm / 1000.0, 0}, Joints{0, mm / 1000.0}}) {
            const Envelope envelope = cut(panels(joints));
            EXPECT_THAT(
                envelope.units.at(0).repaired,
                ElementsAre("gaps up to " + std::to_string(mm) + " mm wide closed (limit 60 mm)"));
            EXPECT_EQ(only_opening(envelope), "") << mm;
        }
    }
}

// The joint runs around the four walls, seen square to each: along the long walls from end wall to
// end wall (their ends are seen as covered by what stands across), along the ends from side to
// side.
TEST(UnitOpenings, AJointBelowTheRoofAboveTheLimitIsTold) {
    for (const double mm : {61.0, 100.0}) {
        const Envelope envelope = cut(panels({mm / 1000, 0}));
        EXPECT_THAT(envelope.units.at(0).repaired, IsEmpty());
        const std::string text = only_opening(envelope);
        EXPECT_THAT(text, HasSubstr("wider than 60 mm"));
        EXPECT_THAT(text, HasSubstr(printed("up to %.3g mm wide", mm)));
        double told_m = 0, told_m2 = 0;
        ASSERT_EQ(
            std::sscanf(text.c_str() + text.find("faces: "),
                        "faces: %lf m long together, up to %*f mm wide, %lf m2", &told_m, &told_m2),
            2)
            << text;
        // Around the middle of the walls or around their outside: their thickness is left open.
        EXPECT_NEAR(told_m, 2 * (length_m + width_m), 8 * thick_m) << text;
        EXPECT_NEAR(told_m2, told_m * mm / 1000, 0.006 * told_m2) << text;
    }
}

TEST(UnitOpenings, AJointBetweenTwoPanelsOfAWallAboveTheLimitIsTold) {
    for (const double turn_deg : {0.0, 33.0}) {
        for (const double mm : {61.0, 100.0}) {
            const Envelope envelope = cut(panels({0, mm / 1000}), turn_deg);
            EXPECT_THAT(envelope.units.at(0).repaired, IsEmpty());
            const std::string text = only_opening(envelope);
            const double joint_m = height_m - 2 * thick_m;
            EXPECT_THAT(text, HasSubstr(printed(": %.3g m long", joint_m)));
            EXPECT_THAT(text, HasSubstr(printed("up to %.3g mm wide", mm)));
            EXPECT_THAT(text, HasSubstr(printed(", %.3g m2", joint_m * mm / 1000)));
        }
    }
}

TEST(UnitOpenings, AMissingPanelIsToldOnceWithItsSizes) {
    const double clear_m = height_m - 2 * thick_m;
    // The end wall stands within the panel's length.
    const double half_m = length_m / 2 - thick_m;
    const std::string south = only_opening(cut(without(panels({}), "south-1")));
    EXPECT_THAT(south, HasSubstr(printed("opening of %.3g m2 to the south", clear_m * half_m)));
    const double end_m = width_m - 2 * thick_m;
    const std::string west = only_opening(cut(without(panels({}), "west")));
    EXPECT_THAT(west, HasSubstr(printed("opening of %.3g m2 to the west", clear_m * end_m)));
    EXPECT_THAT(west, HasSubstr(printed(", %.3g m by ", clear_m) + printed("%.3g m;", end_m)));
}

// The area vectors of the two cancel.
TEST(UnitOpenings, TwoOpenEndsAreTwo) {
    const Envelope envelope = cut(without(without(panels({}), "west"), "east"));
    std::vector<std::string> texts;
    for (const Warning& warning : envelope.warnings) {
        if (warning.code == "unit-open") texts.push_back(warning.text);
    }
    EXPECT_THAT(texts, testing::UnorderedElementsAre(HasSubstr("to the east, 2.5 m by 2.3 m"),
                                                     HasSubstr("to the west, 2.5 m by 2.3 m")));
}

// The second unit stands across: what was found of the first holds for it, turned.
TEST(UnitOpenings, OfATurnedCopyFaceTheOtherWay) {
    std::vector<Box> boxes = without(panels({}), "west");
    const std::size_t n = boxes.size();
    for (std::size_t k = 0; k < n; ++k) {
        Box copy = boxes[k];
        copy.corner_m = test_models::turned(copy.corner_m, 90) + Vec3(30, 0, 0);
        copy.turn_deg = 90;
        copy.name += "-b";
        boxes.push_back(copy);
    }
    test_models::BoxModel made = test_models::box_model(boxes);
    for (std::size_t k = 0; k < made.roles.size(); ++k) made.roles[k].unit = k < n ? "a" : "b";
    const Envelope envelope = build_envelope(made.model, made.roles, {});
    ASSERT_THAT(envelope.warnings, SizeIs(2));
    EXPECT_THAT(envelope.warnings[0].text, HasSubstr("to the west"));
    EXPECT_THAT(envelope.warnings[1].text, HasSubstr("to the south"));
}

// A strip before the joint covers it; a joint that is covered is no opening.
TEST(UnitOpenings, ACoverStripClosesAJoint) {
    std::vector<Box> boxes = panels({0, 0.1});
    boxes.push_back({"strip", {length_m / 2 - 0.1, -0.01, thick_m}, {0.2, 0.01, 2.5}});
    EXPECT_EQ(only_opening(cut(boxes)), "");
}

// In the inner corner of an L the room ends before the plane of its longest part.
TEST(UnitOpenings, JointsOfAnInnerCornerAreFound) {
    const double wall_m = height_m - 2 * thick_m;
    const auto room = [&](double gap_m) {
        const double top_m = height_m - thick_m;
        return std::vector<Box>{
            {"floor-1", {0, 0, 0}, {6, 3, thick_m}},
            {"floor-2", {0, 3, 0}, {3, 3, thick_m}},
            {"roof-1", {0, 0, top_m}, {6, 3, thick_m}},
            {"roof-2", {0, 3, top_m}, {3, 3, thick_m}},
            {"south", {0, 0, thick_m}, {6, thick_m, wall_m}},
            {"west", {0, thick_m, thick_m}, {thick_m, 6 - 2 * thick_m, wall_m}},
            {"east", {6 - thick_m, thick_m, thick_m}, {thick_m, 3 - 2 * thick_m, wall_m}},
            {"north", {0, 6 - thick_m, thick_m}, {3, thick_m, wall_m}},
            {"inner-1", {3 - thick_m, 3 - thick_m, thick_m}, {thick_m, 3, wall_m}},
            {"inner-2", {3, 3 - thick_m, thick_m}, {1, thick_m, wall_m}},
            {"inner-3", {4 + gap_m, 3 - thick_m, thick_m}, {2 - gap_m, thick_m, wall_m}}};
    };
    EXPECT_EQ(only_opening(cut(room(0))), "");
    const std::string text = only_opening(cut(room(0.1)));
    EXPECT_THAT(text, HasSubstr("2.5 m long together, up to 100 mm wide, 0.25 m2"));
}

}  // namespace
}  // namespace noonshell
