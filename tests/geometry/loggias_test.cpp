// Loggias and terraces: roofed parts before a room that lie outdoors, with and without a doorway
// between. All areas follow by hand from the boxes drawn.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using testing::HasSubstr;
using testing::Not;

constexpr double wall_m = 0.1, clear_height_m = 2.5, height_m = clear_height_m + 2 * wall_m;
constexpr double doorway_m = 0.9, doorway_height_m = 2;

/// A house of one assembly and what is made of it.
struct House {
    test_models::BoxModel made;
    std::vector<Warning> warnings;
    Envelope envelope;

    explicit House(const std::vector<Box>& boxes) {
        made = test_models::box_model(boxes);
        made.model.assemblies.push_back({"house", "house", "house", -1});
        for (Body& body : made.model.bodies) body.assembly = 0;
        made.roles = choose_roles(made.model, {}, {}, warnings);
        envelope = build_envelope(made.model, made.roles, {});
        warnings.insert(warnings.end(), envelope.warnings.begin(), envelope.warnings.end());
    }

    double area_m2(const std::string& id) const {
        for (const Surface& surface : envelope.surfaces) {
            if (surface.id == id) return surface.area_m2;
        }
        ADD_FAILURE() << "no surface " << id;
        return 0;
    }

    std::string texts() const {
        std::string text;
        for (const Warning& warning : warnings) text += warning.code + ": " + warning.text + "\n";
        return text;
    }
};

/// A wall along y in the plane x, of clear height, with or without a doorway from y = 1 on.
void add_wall_along_y(std::vector<Box>& boxes, double x, double from_y, double to_y, bool door) {
    const auto piece = [&](const char* name, double y, double z, double dy, double dz) {
        boxes.push_back({name, {x, y, z}, {wall_m, dy, dz}});
    };
    if (!door) return piece("divider", from_y, wall_m, to_y - from_y, clear_height_m);
    piece("divider-a", from_y, wall_m, 1 - from_y, clear_height_m);
    piece("divider-b", 1 + doorway_m, wall_m, to_y - 1 - doorway_m, clear_height_m);
    piece("lintel", 1, wall_m + doorway_height_m, doorway_m, clear_height_m - doorway_height_m);
}

/// A plan of 8 by 4 m under one roof: the room to x = 5.2, beside it a loggia that is open to the
/// south alone. From the south one sees its back wall; the wall that divides it from the room
/// stands round the corner.
House house_with_loggia(bool door) {
    std::vector<Box> boxes{{"slab", {0, 0, 0}, {8, 4, wall_m}},
                           {"roof", {0, 0, wall_m + clear_height_m}, {8, 4, wall_m}},
                           {"north", {0, 3.9, wall_m}, {8, wall_m, clear_height_m}},
                           {"west", {0, 0, wall_m}, {wall_m, 3.9, clear_height_m}},
                           {"east", {7.9, 0, wall_m}, {wall_m, 3.9, clear_height_m}},
                           {"south", {wall_m, 0, wall_m}, {5, wall_m, clear_height_m}}};
    add_wall_along_y(boxes, 5.1, 0, 3.9, door);
    return House(boxes);
}

TEST(Loggias, TheWallRoundTheCornerIsOfTheRoomAndItsOuterWallsAreNot) {
    for (const bool door : {false, true}) {
        SCOPED_TRACE(door);
        const House house = house_with_loggia(door);
        ASSERT_EQ(house.envelope.units.size(), 1U) << house.texts();
        EXPECT_NEAR(house.envelope.units[0].floor_area_m2, 5.0 * 3.8, 0.01 * 5.0 * 3.8);
        EXPECT_NEAR(house.area_m2("house/roof"), 5.2 * 4, 1e-6);
        EXPECT_NEAR(house.area_m2("house/floor"), 5.2 * 4, 1e-6);
        EXPECT_NEAR(house.area_m2("house/wall-n"), 5.2 * height_m, 1e-6);
        EXPECT_NEAR(house.area_m2("house/wall-s"), 5.2 * height_m, 1e-6);
        EXPECT_NEAR(house.area_m2("house/wall-w"), 4 * height_m, 1e-6);
        const double hole_m2 = door ? doorway_m * doorway_height_m : 0;
        EXPECT_NEAR(house.area_m2("house/wall-e"), 3.9 * clear_height_m - hole_m2, 1e-6);
        // The roof over the loggia and its floor stand in the open, seen from both sides.
        EXPECT_NEAR(house.area_m2("house-loggia/top"), 2 * 2.8 * 4, 1e-6);
        EXPECT_NEAR(house.area_m2("house-loggia/edge-e"), 4 * height_m, 1e-6);
        EXPECT_THAT(house.texts(), HasSubstr("lie open to a side: they count as outdoors"));
        EXPECT_THAT(house.texts(), Not(HasSubstr("to the south")));
    }
}

/// A cabin of 6 by 2.4 m whose roof and floor go on to the south over a terrace.
House cabin_with_terrace(double deep_m, bool side_walls) {
    constexpr double length_m = 6, width_m = 2.4;
    constexpr double door_x_m = 2;
    const double up_m = clear_height_m;
    std::vector<Box> boxes{
        {"floor", {0, -deep_m, 0}, {length_m, width_m + deep_m, wall_m}},
        {"roof", {0, -deep_m, wall_m + up_m}, {length_m, width_m + deep_m, wall_m}},
        {"north", {0, width_m - wall_m, wall_m}, {length_m, wall_m, up_m}},
        {"south-w", {0, 0, wall_m}, {door_x_m, wall_m, up_m}},
        {"south-e",
         {door_x_m + doorway_m, 0, wall_m},
         {length_m - door_x_m - doorway_m, wall_m, up_m}},
        {"lintel",
         {door_x_m, 0, wall_m + doorway_height_m},
         {doorway_m, wall_m, up_m - doorway_height_m}},
        {"west", {0, wall_m, wall_m}, {wall_m, width_m - 2 * wall_m, up_m}},
        {"east", {length_m - wall_m, wall_m, wall_m}, {wall_m, width_m - 2 * wall_m, up_m}}};
    const double side_m = side_walls ? deep_m : wall_m;
    boxes.push_back({"sw", {0, -deep_m, wall_m}, {wall_m, side_m, up_m}});
    boxes.push_back({"se", {length_m - wall_m, -deep_m, wall_m}, {wall_m, side_m, up_m}});
    return House(boxes);
}

TEST(Loggias, ATerraceBehindADoorwayIsOutdoorsOnPostsAndBetweenWalls) {
    constexpr double clear_m2 = 5.8 * 2.2;
    for (const bool side_walls : {false, true}) {
        for (const double deep_m : {0.8, 2.0, 4.0}) {
            if (!side_walls && deep_m < 1.2) continue;  // posts no farther off than a doorway
            SCOPED_TRACE(std::to_string(side_walls) + " " + std::to_string(deep_m));
            const House house = cabin_with_terrace(deep_m, side_walls);
            ASSERT_EQ(house.envelope.units.size(), 1U) << house.texts();
            EXPECT_NEAR(house.envelope.units[0].floor_area_m2, clear_m2, 0.015 * clear_m2);
            EXPECT_NEAR(house.area_m2("house/roof"), 6 * 2.4, 1e-6);
            EXPECT_NEAR(house.area_m2("house/floor"), 6 * 2.4, 1e-6);
            EXPECT_NEAR(house.area_m2("house/wall-w"), 2.4 * height_m, 0.1);
            EXPECT_NEAR(house.area_m2("house/wall-s"),
                        6 * clear_height_m - doorway_m * doorway_height_m, 0.3);
        }
    }
}

// Without a wall between, the whole is one room that is open at an end, as a container with its
// doors off.
TEST(Loggias, AnOpenEndAloneIsNone) {
    std::vector<Box> boxes{{"slab", {0, 0, 0}, {8, 4, wall_m}},
                           {"roof", {0, 0, wall_m + clear_height_m}, {8, 4, wall_m}},
                           {"north", {0, 3.9, wall_m}, {8, wall_m, clear_height_m}},
                           {"south", {0, 0, wall_m}, {8, wall_m, clear_height_m}},
                           {"west", {0, wall_m, wall_m}, {wall_m, 3.8, clear_height_m}}};
    const House house(boxes);
    ASSERT_EQ(house.envelope.units.size(), 1U);
    EXPECT_NEAR(house.area_m2("house/roof"), 8 * 4, 1e-6);
    EXPECT_THAT(house.texts(), Not(HasSubstr("roofed-outside")));
    EXPECT_THAT(house.texts(), HasSubstr("unit-open"));
}

}  // namespace
}  // namespace noonshell
