// Rooms against closed forms of steady conduction networks.
#include "thermal/room_solver.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "tests/support/hand_building.hpp"
#include "thermal/inner_lanes.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// Without longwave exchange a room's steady balance is one line: gains = U A (T_in - T_out).
TEST(RoomSolver, SteadyRoomFollowsTheSumOfConductances) {
    RoomInStep room;
    FaceInStep face;
    face.area_m2 = 30;
    face.convective_w_m2k = 2.5;
    face.radiative_w_m2k = 1e-12;  // none, but the radiant node needs a tie
    const double wall_w_m2k = 1.7, outdoor_c = 35;
    face.slope_w_m2k = wall_w_m2k;
    face.source_w_m2 = wall_w_m2k * outdoor_c;
    face.set_weight();
    room.add_face(face);
    room.gains_air_w = 400;
    room.outdoor_w_k = 12;
    room.outdoor_c = outdoor_c;
    std::array<RoomInStep, 1> rooms{room};
    ASSERT_GT(solve_rooms(rooms, {}, {.rooms = {0}, .begin = {0, 0}, .shared = {}}), 0);
    const double ua = 30 / (1 / 2.5 + 1 / wall_w_m2k) + 12;
    EXPECT_NEAR(rooms[0].air_c, outdoor_c + 400 / ua, 1e-9);
}

/// A plant that holds the set point takes away exactly what comes in.
TEST(RoomSolver, PlantLoadIsTheHeatThatComesIn) {
    RoomInStep room;
    FaceInStep face;
    face.area_m2 = 10;
    face.convective_w_m2k = 2.5;
    face.radiative_w_m2k = 5.7;
    face.slope_w_m2k = 0.4;
    face.source_w_m2 = 0.4 * 60;
    face.set_weight();
    room.add_face(face);
    room.cooled = true;
    room.cooling_set_point_c = 26;
    std::array<RoomInStep, 1> rooms{room};
    ASSERT_GT(solve_rooms(rooms, {}, {.rooms = {0}, .begin = {0, 0}, .shared = {}}), 0);
    EXPECT_DOUBLE_EQ(rooms[0].air_c, 26);
    // One face: the radiant node sits at the face's temperature, so only convection carries heat.
    const double u = 1 / (1 / 0.4 + 1 / 2.5);
    EXPECT_NEAR(rooms[0].plant_w, -10 * u * (60 - 26), 1e-9);
}

/// Two rooms with a common wall, one heated by gains: series and parallel conductances.
TEST(RoomSolver, TwoRoomsWithACommonWallInClosedForm) {
    const double film = 4.0, own = 25.0, resistance = 1 / 3.0, area = 12.0, outdoor_c = 10.0;
    Patches patches;
    Layer pane;
    pane.material.name = "pane without mass";
    pane.resistance_m2k_w = resistance;
    patches.walls.emplace_back(std::vector<Layer>{pane}, 600.0);
    InsideFace face;
    face.area_m2 = area;
    face.emittance = 1e-12;  // no longwave, but the radiant node needs a tie
    face.warm_w_m2k = face.cool_w_m2k = film;
    face.natural_warm = face.natural_cool = 0;
    patches.shared.push_back({face, face, 0});
    patches.shared[0].a.unit = UnitId(0);
    patches.shared[0].b.unit = UnitId(1);

    Building building;
    building.rooms.resize(2);
    InnerLanes lanes(patches, 20, 15);
    std::vector<RoomInStep> rooms(2);
    std::vector<FaceTerms> faces(2);
    std::vector<RoomLink> between(1);
    between[0].room_b = 1;
    lanes.begin(rooms, RoomSun(patches, building));
    lanes.add_to(faces);
    lanes.link(between);
    for (std::size_t r = 0; r < 2; ++r) {
        rooms[r].faces = faces[r];
        rooms[r].outdoor_w_k = own;
        rooms[r].outdoor_c = outdoor_c;
    }
    rooms[0].gains_air_w = 500;
    ASSERT_GT(solve_rooms(rooms, between, {.rooms = {0, 1}, .begin = {0, 1, 2}, .shared = {0, 0}}),
              0);
    lanes.finish(rooms);
    const double link = area / (2 / film + resistance);
    // own (Ta - To) + link (Ta - Tb) = Q; own (Tb - To) = link (Ta - Tb)
    const double excess_a = 500 * (own + link) / (own * (own + 2 * link));
    const double excess_b = 500 * link / (own * (own + 2 * link));
    EXPECT_NEAR(rooms[0].air_c, outdoor_c + excess_a, 1e-6);
    EXPECT_NEAR(rooms[1].air_c, outdoor_c + excess_b, 1e-6);
    EXPECT_NEAR(lanes.shared_b_w(0), link * (excess_a - excess_b), 1e-5);
    EXPECT_NEAR(lanes.shared_a_w(0), -lanes.shared_b_w(0), 1e-5);
}

}  // namespace
}  // namespace noonshell
