// Walls stepped side by side against the same walls one by one, by the scalar parts that they are
// made of (LayeredWall, linearise, FaceInStep); and a wall does not feel who stands beside it.
#include "thermal/open_lanes.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "tests/support/hand_building.hpp"
#include "thermal/inside_face.hpp"

namespace noonshell {
namespace {

constexpr double step_s = 600, settle_k = 1e-9, start_c = 22;
constexpr OutsideConvection model = OutsideConvection::combined;

Layer layer_of(double thickness_m, double conductivity, double density, double heat) {
    return {{"invented", conductivity, density, heat, "invented"}, thickness_m, std::nullopt};
}

/// Eleven walls of four build-ups, none like another: more than one block, and one with idle lanes.
Patches eleven_walls() {
    Patches out;
    Layer pane;
    pane.material.name = "pane";
    pane.resistance_m2k_w = 0.2;
    const Layer steel = layer_of(0.002, 50, 7800, 450), foam = layer_of(0.06, 0.035, 30, 1400),
                board = layer_of(0.012, 0.2, 800, 1000);
    for (const std::vector<Layer>& layers :
         std::vector<std::vector<Layer>>{{steel}, {foam, steel}, {pane}, {steel, foam, board}}) {
        out.walls.emplace_back(layers, step_s);
    }
    for (std::size_t i = 0; i < 11; ++i) {
        OpenPatch p;
        const double tilt_deg = 18.0 * static_cast<double>(i);
        p.outside.face = outside_face(tilt_deg, 0.3 + 0.06 * static_cast<double>(i), 1.05);
        p.inside.unit = UnitId(i % 2);
        p.inside.area_m2 = 2 + static_cast<double>(i);
        p.inside.emittance = 0.9 - 0.05 * static_cast<double>(i);
        p.wall = i % out.walls.size();
        p.sheltered = i == 5;
        out.open.push_back(p);
    }
    return out;
}

FaceConditions conditions_of(std::size_t wall, std::size_t step) {
    const double day = std::sin(0.05 * static_cast<double>(step));
    return {.absorbed_w_m2 = step % 36 < 18 ? 60.0 * static_cast<double>(wall) : 0.0,
            .transmitted_w_m2 = 0,
            .longwave_in_w_m2 = 380 + 30 * day,
            .air_c = 30 + 8 * day,
            .forced_w_m2k = 3 + static_cast<double>(wall % 3)};
}

std::vector<RoomInStep> rooms_at(std::size_t step) {
    std::vector<RoomInStep> rooms(2);
    rooms[0].air_c = 26 + std::sin(0.02 * static_cast<double>(step));
    rooms[0].radiant_c = rooms[0].air_c + 2;
    rooms[1].air_c = 24;
    rooms[1].radiant_c = 27;
    return rooms;
}

struct Faces {
    double outside_c, inside_c, inward_w;
};

std::vector<Faces> side_by_side(const Patches& patches, const std::vector<std::size_t>& numbers,
                                std::size_t n_steps) {
    OpenLanes lanes(patches, model, step_s, settle_k / 10, start_c);
    for (std::size_t step = 0; step < n_steps; ++step) {
        std::vector<FaceConditions> around;
        for (const std::size_t number : numbers) around.push_back(conditions_of(number, step));
        const std::vector<RoomInStep> rooms = rooms_at(step);
        lanes.begin(around, std::vector<double>(rooms.size(), 0.0), 101325, 0);
        bool settled = false;
        for (int turn = 0; turn < 50 && !settled; ++turn) {
            lanes.line(rooms);
            settled = lanes.close(rooms);
        }
        EXPECT_TRUE(settled);
        lanes.finish();
    }
    std::vector<Faces> out;
    for (std::size_t p = 0; p < patches.open.size(); ++p)
        out.push_back({lanes.outermost_c(p), lanes.inside_c(p), lanes.inward_w(p)});
    return out;
}

/// The same by the parts: outside by Newton's method, inside films by repeating.
Faces alone(const Patches& patches, std::size_t number, std::size_t n_steps) {
    const OpenPatch& p = patches.open[number];
    const LayeredWall& wall = patches.walls[p.wall];
    WallState state = wall.uniform_state(start_c);
    std::vector<double> particular(wall.n_cells());
    double outside_c = start_c, inside_c = start_c, inward_w = 0;
    for (std::size_t step = 0; step < n_steps; ++step) {
        const RoomInStep room = rooms_at(step)[p.inside.unit.index()];
        const TwoPort port = wall.prepare(state, particular);
        for (int turn = 0; turn < 200; ++turn) {
            FaceLine line;
            if (!p.sheltered)
                line = linearise(p.outside.face, model, conditions_of(number, step), outside_c);
            const InsideFilms films = inside_films(p.inside, inside_c, room.air_c, room.radiant_c);
            // Two balances in the two faces' temperatures.
            const double inner = port.bb + films.convective_w_m2k + films.radiative_w_m2k,
                         outer = port.aa + line.h_w_m2k;
            const double to_inner = port.r_b + films.convective_w_m2k * room.air_c +
                                    films.radiative_w_m2k * room.radiant_c;
            const double to_outer = port.r_a + line.q_w_m2;
            const double determinant = inner * outer - port.ab * port.ab;
            outside_c = (to_outer * inner + port.ab * to_inner) / determinant;
            inside_c = (to_inner * outer + port.ab * to_outer) / determinant;
            inward_w = p.inside.area_m2 * (films.convective_w_m2k * (inside_c - room.air_c) +
                                           films.radiative_w_m2k * (inside_c - room.radiant_c));
        }
        wall.advance(state, particular, outside_c, inside_c);
    }
    return {outside_c, inside_c, inward_w};
}

std::vector<std::size_t> numbers_of(std::size_t n) {
    std::vector<std::size_t> numbers(n);
    for (std::size_t i = 0; i < n; ++i) numbers[i] = i;
    return numbers;
}

TEST(OpenLanes, AgreeWithWallsOneByOne) {
    const Patches patches = eleven_walls();
    const std::vector<Faces> found = side_by_side(patches, numbers_of(11), 60);
    for (std::size_t i = 0; i < found.size(); ++i) {
        const Faces expected = alone(patches, i, 60);
        // The films inside follow the faces by one turn; bare steel moves 0.1 K a turn less each.
        EXPECT_NEAR(found[i].outside_c, expected.outside_c, 2e-3) << i;
        EXPECT_NEAR(found[i].inside_c, expected.inside_c, 2e-3) << i;
        EXPECT_NEAR(found[i].inward_w, expected.inward_w,
                    5e-3 * std::max(1.0, std::abs(expected.inward_w)))
            << i;
    }
}

TEST(OpenLanes, AWallDoesNotFeelItsNeighbours) {
    const Patches patches = eleven_walls();
    const std::vector<Faces> found = side_by_side(patches, numbers_of(11), 40);
    Patches turned = patches;
    std::reverse(turned.open.begin(), turned.open.end());
    std::vector<std::size_t> numbers = numbers_of(11);
    std::reverse(numbers.begin(), numbers.end());
    const std::vector<Faces> in_turn = side_by_side(turned, numbers, 40);
    for (std::size_t i = 0; i < found.size(); ++i) {
        EXPECT_EQ(found[i].outside_c, in_turn[10 - i].outside_c) << i;
        EXPECT_EQ(found[i].inside_c, in_turn[10 - i].inside_c) << i;
        EXPECT_EQ(found[i].inward_w, in_turn[10 - i].inward_w) << i;
    }
}

}  // namespace
}  // namespace noonshell
