// Rooms of panels that their neighbours close: the storey above by its floor, the cabin beside by
// its wall. All areas follow by hand from the boxes drawn: what closes a room is as large as the
// room is clear inside.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using testing::HasSubstr;
using testing::Not;

constexpr double length_m = 6, width_m = 2.4, height_m = 2.6, thick_m = 0.05;
constexpr double clear_length_m = length_m - 2 * thick_m, clear_width_m = width_m - 2 * thick_m;

using Panels = std::map<std::string, Box>;

/// Floor and roof between the ends of nothing, long walls on the floor, end walls between these.
Panels panels(const Vec3& at) {
    const double wall_m = height_m - 2 * thick_m;
    Panels all{
        {"floor", {"", {0, 0, 0}, {length_m, width_m, thick_m}}},
        {"roof", {"", {0, 0, height_m - thick_m}, {length_m, width_m, thick_m}}},
        {"south", {"", {0, 0, thick_m}, {length_m, thick_m, wall_m}}},
        {"north", {"", {0, width_m - thick_m, thick_m}, {length_m, thick_m, wall_m}}},
        {"west", {"", {0, thick_m, thick_m}, {thick_m, clear_width_m, wall_m}}},
        {"east", {"", {length_m - thick_m, thick_m, thick_m}, {thick_m, clear_width_m, wall_m}}}};
    for (auto& [name, box] : all) {
        box.name = name;
        box.corner_m += at;
    }
    return all;
}

Panels without(Panels all, const std::set<std::string>& names) {
    for (const std::string& name : names) all.erase(name);
    return all;
}

struct Cabins {
    test_models::BoxModel made;
    std::vector<Warning> warnings;

    /// A cabin is an assembly of its panels.
    explicit Cabins(const std::map<std::string, Panels>& cabins,
                    const std::vector<Box>& loose = {}) {
        std::vector<Box> boxes;
        std::vector<std::int32_t> assembly;
        Model& model = made.model;
        for (const auto& [name, all] : cabins) {
            for (const auto& [panel, box] : all) {
                boxes.push_back(box);
                boxes.back().name = name + "-" + panel;
                assembly.push_back(static_cast<std::int32_t>(model.assemblies.size()));
            }
            model.assemblies.push_back({name, name, name, -1});
        }
        for (const Box& box : loose) {
            boxes.push_back(box);
            assembly.push_back(-1);
        }
        const auto assemblies = model.assemblies;
        made = test_models::box_model(boxes);
        model.assemblies = assemblies;
        for (std::size_t b = 0; b < boxes.size(); ++b) model.bodies[b].assembly = assembly[b];
        made.roles = choose_roles(model, {}, {}, warnings);
    }

    Envelope cut() const { return build_envelope(made.model, made.roles, {}); }

    Role role_of(const std::string& body) const {
        for (std::size_t b = 0; b < made.roles.size(); ++b) {
            if (made.model.bodies[b].id == body) return made.roles[b].role;
        }
        ADD_FAILURE() << body;
        return Role::ignore;
    }
};

std::string all_texts(const std::vector<Warning>& warnings) {
    std::string text;
    for (const Warning& warning : warnings) text += warning.code + ": " + warning.text + "\n";
    return text;
}

const Surface* find(const Envelope& envelope, const std::string& id) {
    for (const Surface& surface : envelope.surfaces) {
        if (surface.id == id) return &surface;
    }
    return nullptr;
}

const Surface& the(const Envelope& envelope, const std::string& id) {
    const Surface* found = find(envelope, id);
    if (found == nullptr) throw std::runtime_error("no surface " + id);
    return *found;
}

double contact_m2(const Envelope& envelope, const std::string& a, const std::string& b) {
    double area = 0;
    for (const Contact& contact : envelope.contacts) {
        if (contact.on_ground()) continue;
        const std::set<std::string> both{envelope.surfaces[contact.a.index()].id,
                                         envelope.surfaces[contact.b.index()].id};
        if (both == std::set<std::string>{a, b}) area += contact.area_m2;
    }
    return area;
}

TEST(BorrowedSides, TheFloorOfTheStoreyAboveIsTheCeiling) {
    const Cabins cabins({{"lower", without(panels({0, 0, 0}), {"roof"})},
                         {"upper", panels({0, 0, height_m - thick_m})}});
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 2U) << all_texts(cabins.warnings);
    const Unit& lower = envelope.units[0];
    EXPECT_EQ(lower.id, "lower");
    EXPECT_NEAR(lower.floor_area_m2, clear_length_m * clear_width_m, 0.2);
    EXPECT_NEAR(lower.volume_m3 / lower.floor_area_m2, height_m - 2 * thick_m, 1e-6);
    const Surface& ceiling = the(envelope, "lower/roof");
    EXPECT_TRUE(ceiling.of_neighbour);
    EXPECT_GT(ceiling.normal.z(), 0.999);
    // The upper floor rests on the clear room and on the upper edges of the walls.
    EXPECT_NEAR(ceiling.area_m2, length_m * width_m, 1e-6);
    EXPECT_NEAR(ceiling.exposed_area_m2, 0, 1e-6);
    EXPECT_NEAR(contact_m2(envelope, "lower/roof", "upper/floor"), length_m * width_m, 1e-6);
    EXPECT_NEAR(the(envelope, "upper/floor").exposed_area_m2, 0, 1e-6);
    EXPECT_FALSE(the(envelope, "upper/floor").of_neighbour);
    EXPECT_THAT(all_texts(envelope.warnings), Not(HasSubstr("unit-open")));
}

TEST(BorrowedSides, AStoreyAboveThatStandsOverHalfTheRoomLeavesTheRestOpen) {
    const Cabins cabins({{"lower", without(panels({0, 0, 0}), {"roof"})},
                         {"upper", panels({length_m / 2, 0, height_m - thick_m})}});
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 2U) << all_texts(cabins.warnings);
    const Surface& ceiling = the(envelope, "lower/roof");
    const double half_m2 = length_m / 2 * width_m;
    const double edges_m2 = (2 * length_m / 2 + clear_width_m) * thick_m;  // of the open half
    EXPECT_NEAR(ceiling.area_m2, half_m2 + edges_m2, 1e-6);
    EXPECT_NEAR(contact_m2(envelope, "lower/roof", "upper/floor"), half_m2, 1e-6);
    EXPECT_NEAR(envelope.units[0].floor_area_m2, clear_length_m * clear_width_m, 0.2);
    EXPECT_THAT(all_texts(envelope.warnings), HasSubstr("lower has an opening of 6.78 m2 above"));
}

TEST(BorrowedSides, PanelsWithoutARoofAreToldAndSoIsTheOpenTopOfANamedUnit) {
    const Cabins cabins({{"pen", without(panels({0, 0, 0}), {"roof"})}},
                        {{"canopy", {10, 0, 3}, {3, 3, 0.1}}});
    EXPECT_EQ(cabins.role_of("pen-south"), Role::shade);
    EXPECT_THAT(
        all_texts(cabins.warnings),
        HasSubstr("room-without-roof: pen would enclose 33.9 m3 if a roof lay on its walls"));
    test_models::BoxModel named = cabins.made;
    std::vector<Warning> warnings;
    RolePatterns patterns;
    patterns.units = {"pen"};
    named.roles = choose_roles(named.model, patterns, {}, warnings);
    const Envelope envelope = build_envelope(named.model, named.roles, {});
    const std::string texts = all_texts(envelope.warnings);
    EXPECT_THAT(texts, HasSubstr("m2 above"));
    EXPECT_THAT(texts, Not(HasSubstr("m2 below")));
    // The boards of the floor are no roof, and the walls have no inner faces.
    EXPECT_EQ(find(envelope, "pen/roof"), nullptr);
    EXPECT_NEAR(the(envelope, "pen/wall-s").area_m2, length_m * (height_m - thick_m), 1e-6);
    EXPECT_THAT(envelope.units.at(0).how, HasSubstr("it has no roof of its own"));
}

TEST(BorrowedSides, InnerFacesOppositeAnOpenSideAreNoSkin) {
    for (const std::string side : {"south", "north", "west", "east"}) {
        const Cabins cabins({{"cabin", without(panels({0, 0, 0}), {side})}},
                            {{"canopy", {10, 0, 3}, {3, 3, 0.1}}});
        const Envelope envelope = cabins.cut();
        ASSERT_EQ(envelope.units.size(), 1U) << side;
        EXPECT_EQ(find(envelope, "cabin/wall-" + side.substr(0, 1)), nullptr) << side;
        double area = 0;
        for (const SurfaceId s : envelope.units[0].surfaces)
            area += envelope.surfaces[s.index()].area_m2;
        const bool is_long = side == "south" || side == "north";
        const double open_m2 =
            (is_long ? clear_length_m : clear_width_m) * (height_m - 2 * thick_m);
        // The edges of floor and roof to that side stay, as strips too small for sides.
        const double whole_m2 = 2 * (length_m * width_m + length_m * height_m + width_m * height_m);
        EXPECT_LT(area, whole_m2 - open_m2 + 1e-6) << side;
        EXPECT_GT(area, whole_m2 - open_m2 - 1.5) << side;
        EXPECT_THAT(all_texts(envelope.warnings), HasSubstr("to the " + side)) << side;
    }
}

TEST(BorrowedSides, TheWallOfTheCabinBesideClosesAnOpenEnd) {
    const Cabins cabins(
        {{"a", panels({0, 0, 0})}, {"b", without(panels({length_m, 0, 0}), {"west"})}});
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 2U);
    const double clear_m2 = clear_width_m * (height_m - 2 * thick_m);
    const Surface& party = the(envelope, "b/wall-w");
    EXPECT_TRUE(party.of_neighbour);
    EXPECT_GE(party.area_m2, clear_m2 - 1e-6);
    EXPECT_NEAR(party.exposed_area_m2, 0, 1e-6);
    EXPECT_NEAR(contact_m2(envelope, "a/wall-e", "b/wall-w"), width_m * height_m, 0.3);
    EXPECT_LT(the(envelope, "a/wall-e").exposed_area_m2, 0.3);
    EXPECT_THAT(all_texts(envelope.warnings), Not(HasSubstr("unit-open")));
}

// One plate is the roof of one room: as if it had been drawn with the panels.
TEST(BorrowedSides, ALooseRoofPlateBelongsToTheOnlyRoomBelowIt) {
    for (const double out_m : {0.0, 1.0}) {
        const Box plate{"plate",
                        {-out_m, -out_m, height_m - thick_m},
                        {length_m + 2 * out_m, width_m + 2 * out_m, thick_m}};
        const Cabins cabins(
            {{"cabin", without(panels({0, 0, 0}), {"roof"})}, {"far", panels({20, 0, 0})}},
            {plate});
        EXPECT_EQ(cabins.role_of("plate"), Role::unit) << out_m;
        const Envelope envelope = cabins.cut();
        EXPECT_NEAR(the(envelope, "cabin/roof").exposed_area_m2, length_m * width_m, 1e-6) << out_m;
        EXPECT_EQ(find(envelope, "cabin-eaves/top") != nullptr, out_m > 0);
    }
}

// A hole in a wall before the wall of a neighbour, and two plates before a hole: the side is as
// large as without the hole.
TEST(BorrowedSides, WhatClosesAHoleAddsNoMoreThanTheHole) {
    Panels a = panels({0, 0, 0});
    const double wall_m = height_m - 2 * thick_m;
    // The north wall is two panels with 1.2 m between them.
    a.erase("north");
    a["north-1"] = {"", {0, width_m - thick_m, thick_m}, {2.4, thick_m, wall_m}};
    a["north-2"] = {"", {3.6, width_m - thick_m, thick_m}, {2.4, thick_m, wall_m}};
    const Cabins beside({{"a", a}, {"b", panels({0, width_m, 0})}});
    const Envelope envelope = beside.cut();
    EXPECT_NEAR(the(envelope, "a/wall-n").area_m2, length_m * height_m, 1e-6);
    EXPECT_NEAR(contact_m2(envelope, "a/wall-n", "b/wall-s"), length_m * height_m, 1e-6);
    const Cabins plates({{"a", a}, {"far", panels({20, 0, 0})}},
                        {{"inner", {2.4, width_m - 0.03, thick_m}, {1.2, 0.01, wall_m}},
                         {"outer", {2.2, width_m + 0.01, thick_m}, {1.6, 0.01, wall_m}}});
    EXPECT_NEAR(the(plates.cut(), "a/wall-n").area_m2, length_m * height_m, 1e-6);
}

// Walls to three sides make a room with an open front; to two sides, a shelter.
TEST(BorrowedSides, SheltersAreNoRooms) {
    for (const std::set<std::string>& open :
         {std::set<std::string>{"south", "north"}, std::set<std::string>{"west", "east"},
          std::set<std::string>{"south", "east"},
          std::set<std::string>{"south", "north", "east"}}) {
        const Cabins cabins(
            {{"shelter", without(panels({0, 0, 0}), open)}, {"far", panels({20, 0, 0})}});
        EXPECT_EQ(cabins.role_of("shelter-roof"), Role::shade) << *open.begin();
        EXPECT_EQ(cabins.cut().units.size(), 1U);
    }
}

// The annex is open towards a cabin that itself has the storey above for a ceiling.
TEST(BorrowedSides, ACabinUnderAStoreyKeepsItsWallBesideAnOpenAnnex) {
    const Cabins cabins({{"annex", without(panels({length_m, 0, 0}), {"west"})},
                         {"lower", without(panels({0, 0, 0}), {"roof"})},
                         {"upper", panels({0, 0, height_m - thick_m})}});
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 3U) << all_texts(cabins.warnings);
    EXPECT_TRUE(the(envelope, "annex/wall-w").of_neighbour);
    EXPECT_FALSE(the(envelope, "lower/wall-e").of_neighbour);
    EXPECT_NEAR(contact_m2(envelope, "annex/wall-w", "lower/wall-e"), width_m * height_m, 0.15);
    EXPECT_THAT(all_texts(envelope.warnings), Not(HasSubstr("unit-open")));
}

TEST(BorrowedSides, APartyWallBetweenTwoCabinsBelongsToTheFirstAndClosesBoth) {
    const double wall_m = height_m - 2 * thick_m;
    const Box wall{"party", {length_m, thick_m, thick_m}, {thick_m, clear_width_m, wall_m}};
    const Cabins cabins({{"a", without(panels({0, 0, 0}), {"east"})},
                         {"b", without(panels({length_m + thick_m, 0, 0}), {"west"})}},
                        {wall});
    EXPECT_EQ(cabins.role_of("party"), Role::unit);
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 2U);
    EXPECT_NEAR(contact_m2(envelope, "a/wall-e", "b/wall-w"), width_m * height_m, 1e-6);
    EXPECT_LT(the(envelope, "a/wall-e").exposed_area_m2, 0.5);
    EXPECT_LT(the(envelope, "b/wall-w").exposed_area_m2, 0.5);
    EXPECT_THAT(all_texts(envelope.warnings), Not(HasSubstr("unit-open")));
}

TEST(BorrowedSides, ClosedNeighboursLendNothing) {
    const Cabins cabins({{"a", panels({0, 0, 0})},
                         {"b", panels({length_m, 0, 0})},
                         {"c", panels({0, 0, height_m})}});
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 3U);
    for (const Surface& surface : envelope.surfaces) EXPECT_FALSE(surface.of_neighbour);
    EXPECT_NEAR(contact_m2(envelope, "a/wall-e", "b/wall-w"), width_m * height_m, 1e-6);
    EXPECT_NEAR(contact_m2(envelope, "a/roof", "c/floor"), length_m * width_m, 1e-6);
}

// One roof of 14 by 4.4 m over two cabins side by side: each has the part of it that lies on its
// walls, and what is left of both faces and of all four edges stands out as a shade.
TEST(BorrowedSides, ARoofOverTwoRoomsIsPartedAmongThem) {
    constexpr double eaves_m = 1;
    for (const double gap_m : {0.0, 3.0}) {
        SCOPED_TRACE(gap_m);
        const double roof_m = 2 * length_m + gap_m + 2 * eaves_m, deep_m = width_m + 2 * eaves_m;
        const Cabins cabins(
            {{"low", without(panels({0, 0, 0}), {"roof"})},
             {"mid", without(panels({length_m + gap_m, 0, 0}), {"roof"})}},
            {{"lid", {-eaves_m, -eaves_m, height_m - thick_m}, {roof_m, deep_m, thick_m}}});
        const Envelope envelope = cabins.cut();
        ASSERT_EQ(envelope.units.size(), 2U);
        EXPECT_EQ(cabins.role_of("lid"), Role::shade);
        for (const std::string unit : {"low", "mid"}) {
            EXPECT_NEAR(the(envelope, unit + "/roof").area_m2, length_m * width_m, 1e-6);
            EXPECT_NEAR(the(envelope, unit + "/roof").exposed_area_m2, length_m * width_m, 1e-6);
            EXPECT_FALSE(the(envelope, unit + "/roof").of_neighbour);
        }
        const double rest_m2 = roof_m * deep_m - 2 * length_m * width_m;
        EXPECT_NEAR(the(envelope, "lid/top").area_m2, rest_m2, 1e-6);
        EXPECT_NEAR(the(envelope, "lid/underside").area_m2, rest_m2, 1e-6);
        EXPECT_NEAR(the(envelope, "lid/edge-s").area_m2, roof_m * thick_m, 1e-6);
        EXPECT_EQ(all_texts(envelope.warnings), "");
    }
}

// The file's root holds the cabin and a loose sheet before it: the cabin keeps its own name.
TEST(BorrowedSides, ARootThatAddsAPlateLendsNoName) {
    Cabins cabins({{"cabin", panels({0, 0, 0})}},
                  {{"plate", {0, -0.1, 0}, {length_m, 0.05, height_m}}});
    Model& model = cabins.made.model;
    model.assemblies.insert(model.assemblies.begin(), {"site", "site", "site", -1});
    model.assemblies[1].parent = 0;
    for (Body& body : model.bodies) ++body.assembly;
    cabins.made.roles = choose_roles(model, {}, {}, cabins.warnings);
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 1U);
    EXPECT_EQ(envelope.units[0].id, "cabin");
}

// A roofed terrace of 2.4 m before a closed room lies outdoors: the wall behind it is skin.
TEST(BorrowedSides, ALoggiaIsOutdoors) {
    Panels cabin = without(panels({0, 0, 0}), {"east"});
    const double wall_m = height_m - 2 * thick_m, back_m = length_m - 2.4;
    cabin["back"] = {"back", {back_m, thick_m, thick_m}, {thick_m, clear_width_m, wall_m}};
    const Cabins cabins({{"cabin", cabin}}, {{"canopy", {10, 0, 3}, {3, 3, 0.1}}});
    const Envelope envelope = cabins.cut();
    ASSERT_EQ(envelope.units.size(), 1U);
    EXPECT_NEAR(envelope.units[0].floor_area_m2, (back_m - thick_m) * clear_width_m, 0.2);
    EXPECT_NEAR(the(envelope, "cabin/wall-e").area_m2, clear_width_m * wall_m, 0.3);
    EXPECT_THAT(all_texts(envelope.warnings), HasSubstr("under its roof lie open to a side"));
    EXPECT_THAT(all_texts(envelope.warnings), Not(HasSubstr("several-rooms")));
}

}  // namespace
}  // namespace noonshell
