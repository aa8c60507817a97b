// A sunlit outside face through the two-port: absorbed sun + film = conduction. Sol-air
// temperature, [ashrae2021] ch. 18 eq. 27, te = to + alpha E / ho, must come back out of the
// balance.
#include <gtest/gtest.h>

#include "tests/thermal/handbook_walls.hpp"
#include "thermal/layered_wall.hpp"
#include "thermal/outside_face.hpp"

namespace noonshell {
namespace {

constexpr double absorptance = 0.9, film_w_m2k = 17;  // table 29: alpha/ho printed as 0.053

// The handbook's film stands for convection and longwave together: a face that radiates nothing,
// in a wind that gives the film's coefficient.
FaceConditions outdoors(double sun_w_m2, double air_c) {
    return {.absorbed_w_m2 = absorptance * sun_w_m2,
            .longwave_in_w_m2 = 0,
            .air_c = air_c,
            .forced_w_m2k = film_w_m2k};
}

constexpr OutsideConvection film_alone = OutsideConvection::iso_6946;  // no natural part

// Face temperature of a wall under sun, air and a room face, the wall being at rest.
double face_c(const TwoPort& port, double sun_w_m2, double air_c, double inside_c) {
    const FaceLine line =
        linearise(outside_face(90, 0), film_alone, outdoors(sun_w_m2, air_c), air_c);
    return (line.q_w_m2 + port.ab * inside_c + port.r_a) / (port.aa + line.h_w_m2k);
}

// [ashrae2021] ch. 18 table 29B: the outside air that alone would pass the same heat to a face,
// whatever the temperature of the face.
TEST(SolAir, IsTheAirThatPassesTheSameHeat) {
    const OutsideFace face = outside_face(90, 0);
    for (std::size_t h = 0; h < handbook::hours; ++h) {
        for (const double at_c : {10.0, 40.0, 75.0}) {
            const double net = net_heat_w_m2(
                face, film_alone, outdoors(handbook::sun_w_m2[h], handbook::air_c[h]), at_c);
            EXPECT_NEAR(at_c + net / film_w_m2k, handbook::sol_air_c[h],
                        0.1 + 0.0005 * handbook::sun_w_m2[h])
                << "hour " << h + 1;
        }
    }
}

TEST(SolAir, ComesBackFromTheOutsideBalance) {
    const std::vector<Layer> layers(handbook::walls[0].layers.begin() + 1,
                                    handbook::walls[0].layers.end());
    const LayeredWall wall(layers, 900);
    WallState state = wall.uniform_state(handbook::room_c);
    std::vector<double> particular(wall.n_cells());
    for (std::size_t h = 0; h < handbook::hours; ++h) {
        const double sun = handbook::sun_w_m2[h], air = handbook::air_c[h];
        const TwoPort port = wall.prepare(state, particular);
        const double face = face_c(port, sun, air, handbook::room_c);
        wall.advance(state, particular, face, handbook::room_c);
        const double into_wall = port.aa * face - port.ab * handbook::room_c - port.r_a;
        // Rounding of the printed table: air and sol-air to 0.1 K, alpha/ho to 0.001 of about
        // 0.053.
        EXPECT_NEAR(face + into_wall / film_w_m2k, handbook::sol_air_c[h], 0.1 + 0.0005 * sun)
            << "hour " << h + 1;
    }
}

// The same wall with the film as its first layer, driven by the sol-air temperature.
TEST(SolAir, DrivesTheWallAsSunAndAirDo) {
    const std::vector<Layer> bare(handbook::walls[1].layers.begin() + 1,
                                  handbook::walls[1].layers.end());
    std::vector<Layer> filmed = bare;
    filmed.insert(filmed.begin(), handbook::film(1 / film_w_m2k));
    const LayeredWall by_sun(bare, 600), by_sol_air(filmed, 600);
    WallState sun_state = by_sun.uniform_state(20), sol_air_state = by_sol_air.uniform_state(20);
    std::vector<double> particular(by_sun.n_cells());
    for (int step = 0; step < 500; ++step) {
        const double sun = 40.0 * (step % 20), air = 25 + 0.5 * (step % 30);
        const TwoPort a = by_sun.prepare(sun_state, particular);
        const double face = face_c(a, sun, air, 24);
        const double flux_by_sun = a.ab * face - a.bb * 24 + a.r_b;
        by_sun.advance(sun_state, particular, face, 24);
        const double te = air + absorptance * sun / film_w_m2k;
        const TwoPort b = by_sol_air.prepare(sol_air_state, particular);
        EXPECT_NEAR(flux_by_sun, b.ab * te - b.bb * 24 + b.r_b, 1e-9);
        by_sol_air.advance(sol_air_state, particular, te, 24);
    }
}

// Steady: Ts = (ho te + Ti/R') / (ho + 1/R').
TEST(SolAir, SteadyFaceTemperatureIsTheClosedForm) {
    const std::vector<Layer> layers{{{"steel", 50, 7800, 450, ""}, 0.002, {}},
                                    {{"wool", 0.036, 60, 1030, ""}, 0.08, {}},
                                    handbook::film(0.13)};
    const LayeredWall wall(layers, 900);
    WallState state = wall.uniform_state(24);
    std::vector<double> particular(wall.n_cells());
    double face = 0;
    for (int step = 0; step < 2000; ++step) {
        face = face_c(wall.prepare(state, particular), 900, 40, 24);
        wall.advance(state, particular, face, 24);
    }
    const double te = 40 + absorptance * 900 / film_w_m2k, r = 0.002 / 50 + 0.08 / 0.036 + 0.13;
    EXPECT_NEAR(face, (film_w_m2k * te + 24 / r) / (film_w_m2k + 1 / r), 1e-9);
}

}  // namespace
}  // namespace noonshell
