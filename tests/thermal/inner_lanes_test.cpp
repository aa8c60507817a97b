// Inner walls stepped side by side against the same walls one by one, by the scalar parts that they
// are made of (LayeredWall and the balances of two faces); and what goes in comes out.
#include "thermal/inner_lanes.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "tests/support/hand_building.hpp"

namespace noonshell {
namespace {

constexpr double inner_step_s = 600, inner_start_c = 22, deep_ground_c = 19;

Layer massive(double thickness_m, double conductivity, double density, double heat) {
    return {{"invented", conductivity, density, heat, "invented"}, thickness_m, std::nullopt};
}

InsideFace face_of(std::size_t unit, double area_m2, double emittance, bool floor) {
    InsideFace face;
    face.unit = UnitId(unit);
    face.area_m2 = area_m2;
    face.emittance = emittance;
    face.warm_w_m2k = floor ? 5.0 : 2.5;
    face.cool_w_m2k = 0.7;
    face.is_floor = floor;
    return face;
}

/// Nine walls between three rooms and two floors on the ground, of build-ups with none to many
/// cells: more than one block, one with idle lanes, one with both kinds.
Patches inner_walls() {
    Patches out;
    Layer pane;
    pane.material.name = "pane";
    pane.resistance_m2k_w = 0.2;
    const Layer steel = massive(0.002, 50, 7800, 450), foam = massive(0.06, 0.035, 30, 1400),
                soil = massive(2, 1.5, 1800, 1000);
    for (const std::vector<Layer>& layers : std::vector<std::vector<Layer>>{
             {steel}, {steel, foam, steel}, {pane}, {soil, foam, steel}}) {
        out.walls.emplace_back(layers, inner_step_s);
    }
    for (std::size_t i = 0; i < 9; ++i) {
        const double area_m2 = 3 + static_cast<double>(i);
        const double emittance = 0.9 - 0.05 * static_cast<double>(i);
        out.shared.push_back({face_of(i % 3, area_m2, emittance, i == 4),
                              face_of((i + 1) % 3, area_m2, 0.9, i == 7), i % 3});
    }
    out.ground.push_back({face_of(0, 14, 0.9, true), 3});
    out.ground.push_back({face_of(2, 7, 0.8, true), 3});
    return out;
}

std::vector<RoomInStep> rooms_after(std::size_t steps) {
    std::vector<RoomInStep> rooms(3);
    for (std::size_t r = 0; r < 3; ++r) {
        const double phase = static_cast<double>(r);
        rooms[r].air_c = 26 + 4 * phase + 3 * std::sin(0.05 * static_cast<double>(steps) + phase);
        rooms[r].radiant_c = rooms[r].air_c + 2 - phase;
    }
    return rooms;
}

struct TwoFaces {
    double a_c = inner_start_c, b_c = inner_start_c;
    double a_w = 0, b_w = 0;  ///< into the rooms
};

double into_room_w(const InsideFace& face, double at_c, const InsideFilms& films,
                   const RoomInStep& room) {
    return face.area_m2 * (films.convective_w_m2k * (at_c - room.air_c) +
                           films.radiative_w_m2k * (at_c - room.radiant_c));
}

double film_source_w_m2(const InsideFilms& films, const RoomInStep& room) {
    return films.convective_w_m2k * room.air_c + films.radiative_w_m2k * room.radiant_c;
}

InsideFilms films_before(const InsideFace& face, double face_c, std::size_t step) {
    const RoomInStep room = rooms_after(step)[face.unit.index()];
    return inside_films(face, face_c, room.air_c, room.radiant_c);
}

/// A wall between rooms by itself: two balances in the two faces' temperatures.
TwoFaces one_shared(const Patches& patches, const SharedPatch& p, std::size_t n_steps) {
    const LayeredWall& wall = patches.walls[p.wall];
    WallState state = wall.uniform_state(inner_start_c);
    std::vector<double> particular(wall.n_cells());
    TwoFaces out;
    for (std::size_t step = 0; step < n_steps; ++step) {
        const TwoPort port = wall.prepare(state, particular);
        const InsideFilms a = films_before(p.a, out.a_c, step);
        const InsideFilms b = films_before(p.b, out.b_c, step);
        const RoomInStep room_a = rooms_after(step + 1)[p.a.unit.index()];
        const RoomInStep room_b = rooms_after(step + 1)[p.b.unit.index()];
        const double aa = port.aa + a.convective_w_m2k + a.radiative_w_m2k;
        const double bb = port.bb + b.convective_w_m2k + b.radiative_w_m2k;
        const double to_a = port.r_a + film_source_w_m2(a, room_a);
        const double to_b = port.r_b + film_source_w_m2(b, room_b);
        const double determinant = aa * bb - port.ab * port.ab;
        out.a_c = (to_a * bb + port.ab * to_b) / determinant;
        out.b_c = (to_b * aa + port.ab * to_a) / determinant;
        out.a_w = into_room_w(p.a, out.a_c, a, room_a);
        out.b_w = into_room_w(p.b, out.b_c, b, room_b);
        wall.advance(state, particular, out.a_c, out.b_c);
    }
    return out;
}

double one_on_ground_w(const Patches& patches, const GroundPatch& p, std::size_t n_steps) {
    const LayeredWall& wall = patches.walls[p.wall];
    WallState state = wall.uniform_state(deep_ground_c);
    std::vector<double> particular(wall.n_cells());
    double face_c = inner_start_c, inward_w = 0;
    for (std::size_t step = 0; step < n_steps; ++step) {
        const TwoPort port = wall.prepare(state, particular);
        const InsideFilms films = films_before(p.inside, face_c, step);
        const RoomInStep room = rooms_after(step + 1)[p.inside.unit.index()];
        face_c = (port.r_b + port.ab * deep_ground_c + film_source_w_m2(films, room)) /
                 (port.bb + films.convective_w_m2k + films.radiative_w_m2k);
        inward_w = into_room_w(p.inside, face_c, films, room);
        wall.advance(state, particular, deep_ground_c, face_c);
    }
    return inward_w;
}

TEST(InnerLanes, AgreeWithWallsOneByOne) {
    const Patches patches = inner_walls();
    Building building;
    building.rooms.resize(3);
    const RoomSun no_sun(patches, building);
    constexpr std::size_t n_steps = 80;
    InnerLanes lanes(patches, inner_start_c, deep_ground_c);
    for (std::size_t step = 0; step < n_steps; ++step) {
        lanes.begin(rooms_after(step), no_sun);
        lanes.finish(rooms_after(step + 1));
    }
    for (std::size_t i = 0; i < patches.shared.size(); ++i) {
        const TwoFaces alone = one_shared(patches, patches.shared[i], n_steps);
        EXPECT_NEAR(lanes.shared_a_w(i), alone.a_w, 1e-6) << i;
        EXPECT_NEAR(lanes.shared_b_w(i), alone.b_w, 1e-6) << i;
    }
    for (std::size_t i = 0; i < patches.ground.size(); ++i)
        EXPECT_NEAR(lanes.ground_inward_w(i), one_on_ground_w(patches, patches.ground[i], n_steps),
                    1e-6)
            << i;
}

/// What the rooms' balances are told beforehand is what passes: terms and links at the rooms' new
/// temperatures give the heat that finish() finds.
TEST(InnerLanes, TermsGiveTheHeatThatPasses) {
    const Patches patches = inner_walls();
    Building building;
    building.rooms.resize(3);
    const RoomSun no_sun(patches, building);
    InnerLanes lanes(patches, inner_start_c, deep_ground_c);
    for (std::size_t step = 0; step < 5; ++step) {
        lanes.begin(rooms_after(step), no_sun);
        std::vector<FaceTerms> faces(3);
        std::vector<RoomLink> between(patches.shared.size());
        for (std::size_t i = 0; i < between.size(); ++i) {
            between[i].room_a = patches.shared[i].a.unit.index();
            between[i].room_b = patches.shared[i].b.unit.index();
        }
        lanes.add_to(faces);
        lanes.link(between);
        const std::vector<RoomInStep> rooms = rooms_after(step + 1);
        std::vector<double> told_w(3), passed_w(3);
        for (std::size_t r = 0; r < 3; ++r) {
            const FaceTerms& f = faces[r];
            const double air = rooms[r].air_c, radiant = rooms[r].radiant_c;
            told_w[r] = f.air_source_w - f.air_air_w_k * air + f.air_radiant_w_k * radiant +
                        f.radiant_source_w - f.radiant_radiant_w_k * radiant +
                        f.air_radiant_w_k * air;
        }
        for (const RoomLink& link : between) {
            const auto from = [&](const SharedTerms& to, const RoomInStep& other) {
                return to.air_source_w + to.radiant_source_w +
                       (to.air_of_air_w_k + to.radiant_of_air_w_k) * other.air_c +
                       (to.air_of_radiant_w_k + to.radiant_of_radiant_w_k) * other.radiant_c;
            };
            told_w[link.room_a] += from(link.to_a, rooms[link.room_b]);
            told_w[link.room_b] += from(link.to_b, rooms[link.room_a]);
        }
        lanes.finish(rooms);
        for (std::size_t i = 0; i < patches.shared.size(); ++i) {
            passed_w[between[i].room_a] += lanes.shared_a_w(i);
            passed_w[between[i].room_b] += lanes.shared_b_w(i);
        }
        for (std::size_t i = 0; i < patches.ground.size(); ++i)
            passed_w[patches.ground[i].inside.unit.index()] += lanes.ground_inward_w(i);
        for (std::size_t r = 0; r < 3; ++r) EXPECT_NEAR(told_w[r], passed_w[r], 1e-7) << r;
    }
}

}  // namespace
}  // namespace noonshell
