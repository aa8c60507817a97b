#include "thermal/layered_wall.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

Layer film(double resistance_m2k_w) {
    return {{}, 0, resistance_m2k_w};
}
const Layer steel{{"steel", 50, 7800, 450, ""}, 0.002, {}};
const Layer wool{{"wool", 0.036, 60, 1030, ""}, 0.08, {}};
const Layer plywood{{"plywood", 0.17, 700, 1600, ""}, 0.012, {}};
const Layer concrete{{"concrete", 1.8, 2400, 1000, ""}, 0.2, {}};
const std::vector<Layer> insulated{steel, film(0.18), wool, plywood};

struct WallRun {
    const LayeredWall& wall;
    WallState state;
    std::vector<double> particular;
    double in_w_m2 = 0, out_w_m2 = 0;

    WallRun(const LayeredWall& w, double start_c)
        : wall(w), state(w.uniform_state(start_c)), particular(w.n_cells()) {}

    void step(double a_c, double b_c) {
        const TwoPort port = wall.prepare(state, particular);
        in_w_m2 = port.aa * a_c - port.ab * b_c - port.r_a;
        out_w_m2 = port.ab * a_c - port.bb * b_c + port.r_b;
        wall.advance(state, particular, a_c, b_c);
    }
};

TEST(LayeredWall, SteadyFluxIsExact) {
    const LayeredWall wall(insulated, 900);
    const double expected = (63.0 - 24.0) / (0.002 / 50 + 0.18 + 0.08 / 0.036 + 0.012 / 0.17);
    WallRun run(wall, 30);
    for (int i = 0; i < 3000; ++i) run.step(63, 24);
    EXPECT_NEAR(run.in_w_m2, expected, 1e-9);
    EXPECT_NEAR(run.out_w_m2, expected, 1e-10 * expected);

    WallRun rest(wall, 0);
    rest.state = wall.steady_state(63, 24);
    const std::vector<double> profile = rest.state.now_c;
    rest.step(63, 24);
    EXPECT_NEAR(rest.in_w_m2, expected, 1e-9);
    for (std::size_t i = 0; i < wall.n_cells(); ++i)
        EXPECT_NEAR(rest.state.now_c[i], profile[i], 1e-11);
}

// Each face is fed steps, ramps and noise; nothing may go missing.
TEST(LayeredWall, StoresWhatGoesInLessWhatComesOut) {
    for (const std::vector<Layer>& layers :
         {insulated, std::vector<Layer>{steel}, std::vector<Layer>{concrete, film(0.1), steel}}) {
        for (const double step_s : {60.0, 900.0, 3600.0}) {
            const LayeredWall wall(layers, step_s);
            WallRun run(wall, 20);
            for (int i = 0; i < 400; ++i) {
                const double before = wall.stored_j_m2(run.state);
                run.step(20 + 3.0 * (i % 17) - 7.0 * (i % 5), 24 + 2.0 * (i % 3));
                const double stored = wall.stored_j_m2(run.state) - before;
                const double passed = step_s * (std::abs(run.in_w_m2) + std::abs(run.out_w_m2));
                // Bare steel: fluxes are differences of 50 kW/(m2 K) times the face temperatures.
                const double rounding = 1e-15 * (step_s * 25000 * 100 + std::abs(before));
                EXPECT_NEAR(stored, step_s * (run.in_w_m2 - run.out_w_m2),
                            1e-12 * passed + 10 * rounding);
            }
        }
    }
}

// At the end of a long uniform stay the store holds C T.
TEST(LayeredWall, StoreAtRestIsHeatCapacityTimesTemperature) {
    const LayeredWall wall(insulated, 900);
    const double capacity = 0.002 * 7800 * 450 + 0.08 * 60 * 1030 + 0.012 * 700 * 1600;
    EXPECT_NEAR(wall.stored_j_m2(wall.uniform_state(35)), 35 * capacity, 1e-9 * 35 * capacity);
}

TEST(LayeredWall, ReversedLayersSwapTheFaces) {
    const std::vector<Layer> reversed(insulated.rbegin(), insulated.rend());
    const LayeredWall wall(insulated, 900), mirror(reversed, 900);
    std::vector<double> p(wall.n_cells());
    const WallState ramp = wall.steady_state(60, 20), mirror_ramp = mirror.steady_state(20, 60);
    const TwoPort a = wall.prepare(ramp, p), b = mirror.prepare(mirror_ramp, p);
    EXPECT_NEAR(a.aa, b.bb, 1e-12 * a.aa);
    EXPECT_NEAR(a.bb, b.aa, 1e-12 * a.bb);
    EXPECT_NEAR(a.ab, b.ab, 1e-12 * a.ab);
    EXPECT_NEAR(a.r_a, b.r_b, 1e-12 * std::abs(a.r_a));
    EXPECT_NEAR(a.r_b, b.r_a, 1e-12 * std::abs(a.r_b));
}

// Half a cell of 2 mm steel conducts 50 kW/(m2 K); what remains when both faces rise together is
// the heat that the sheet takes up, ten thousand times smaller: G c / (2 G + c), c = 3/2 C/dt.
TEST(LayeredWall, KeepsTheSmallDifferenceOfConductiveSteel) {
    const double g = 50 / 0.001;
    for (const double step_s : {60.0, 900.0, 3600.0, 86400.0}) {
        const LayeredWall wall(std::vector<Layer>{steel}, step_s);
        ASSERT_EQ(wall.n_cells(), 1U);
        std::vector<double> p(1);
        const TwoPort port = wall.prepare(wall.uniform_state(0), p);
        const double c = 1.5 * 7020 / step_s, expected = g * c / (2 * g + c);
        // The field holds aa itself, so the difference carries half a unit in the last place of aa.
        EXPECT_NEAR(port.aa - port.ab, expected, 4e-16 * port.aa + 1e-14 * expected);
        EXPECT_NEAR(port.ab, g * g / (2 * g + c), 1e-12 * g);
    }
}

// The same between unlike layers, where no closed form is at hand: the heat that enters by both
// faces when they rise by 1 K equals what the cells took up.
TEST(LayeredWall, UniformRiseEntersAsHeatStored) {
    for (const std::vector<Layer>& layers :
         {insulated, std::vector<Layer>{steel, wool, steel}, std::vector<Layer>{steel, concrete}}) {
        const LayeredWall wall(layers, 900);
        WallRun run(wall, 0);
        const TwoPort port = wall.prepare(run.state, run.particular);
        wall.advance(run.state, run.particular, 1, 1);
        const double entered = 900 * ((port.aa - port.ab) + (port.bb - port.ab));
        EXPECT_NEAR(entered, wall.stored_j_m2(run.state),
                    900 * 4e-16 * (port.aa + port.bb) + 1e-12 * entered);
    }
}

TEST(LayeredWall, WithoutMassIsABareResistance) {
    const LayeredWall wall(std::vector<Layer>{film(0.3), film(0.2)}, 900);
    EXPECT_EQ(wall.n_cells(), 0U);
    WallState state = wall.uniform_state(99);
    const TwoPort port = wall.prepare(state, {});
    EXPECT_DOUBLE_EQ(port.aa, 2.0);
    EXPECT_DOUBLE_EQ(port.ab, 2.0);
    EXPECT_DOUBLE_EQ(port.bb, 2.0);
    EXPECT_EQ(port.r_a, 0);
    EXPECT_EQ(port.r_b, 0);
    wall.advance(state, {}, 10, 20);
    EXPECT_EQ(wall.stored_j_m2(state), 0);
}

TEST(LayeredWall, RefusesWhatIsNoWall) {
    EXPECT_THROW(LayeredWall(std::vector<Layer>{}, 900), InputError);
    EXPECT_THROW(LayeredWall(std::vector<Layer>{film(0)}, 900), InputError);
    Layer thin = steel;
    thin.thickness_m = 0;
    EXPECT_THROW(LayeredWall(std::vector<Layer>{thin}, 900), InputError);
    EXPECT_THROW(LayeredWall(insulated, 0), InvariantError);
    const LayeredWall wall(insulated, 900);
    std::vector<double> short_span(wall.n_cells() - 1);
    EXPECT_THROW(wall.prepare(wall.uniform_state(0), short_span), InvariantError);
}

// Faces are known at the ends of steps and joined by straight lines, so a jump between two of them
// counts as one in the middle of that step: the closed forms below start half a step late.

// --- Closed forms ------------------------------------------------------------------------------

// A lumped sheet between films of 17 and 6 W/(m2 K): tau = C/(h1 + h2) = 305 s.
TEST(LayeredWall, SteelSheetDecaysLikeALumpedBody) {
    const double tau_s = 7020.0 / 23;
    EXPECT_NEAR(tau_s, 305, 0.5);
    const LayeredWall wall(std::vector<Layer>{film(1.0 / 17), steel, film(1.0 / 6)}, 5);
    WallRun run(wall, 60);
    double worst = 0;
    for (int i = 1; i <= 360; ++i) {
        run.step(20, 20);
        if (i > 2)
            worst = std::max(worst, std::abs(run.state.now_c[0] -
                                             (20 + 40 * std::exp(-5.0 * (i - 0.5) / tau_s))));
    }
    EXPECT_LT(worst, 0.02);
}

// After an hour the sheet has forgotten: within 0.1 K of steady, from 40 K above and with steps
// about as long as its own time constant.
TEST(LayeredWall, SteelSheetIsQuasiSteadyAfterAnHour) {
    for (const double step_s : {60.0, 300.0}) {
        const LayeredWall wall(std::vector<Layer>{film(1.0 / 17), steel, film(1.0 / 6)}, step_s);
        WallRun run(wall, 60);
        for (int i = 0; i < static_cast<int>(3600 / step_s); ++i) run.step(20, 20);
        EXPECT_NEAR(run.state.now_c[0], 20, 0.1);
    }
}

// The sheet under air that warms steadily lags by tau times the rate, whatever the step: a straight
// line is reproduced exactly by the time scheme.
TEST(LayeredWall, SteelSheetFollowsARampWithItsOwnLag) {
    for (const double step_s : {60.0, 900.0, 3600.0}) {
        const LayeredWall wall(std::vector<Layer>{film(1.0 / 17), steel, film(1.0 / 6)}, step_s);
        WallRun run(wall, 0);
        const double rate_k_s = 8.0 / 3600;
        double air = 0;
        for (int i = 1; i <= 300; ++i) {
            air = rate_k_s * step_s * i;
            run.step(air, air);
        }
        EXPECT_NEAR(air - run.state.now_c[0],
                    rate_k_s * 7020 / (1 / (1.0 / 17 + 0.00002) + 1 / (1.0 / 6 + 0.00002)), 1e-6);
    }
}

// [incropera] ch. 5, burial of a water main (value from memory): soil at 20 C, surface at -15 C for
// 60 days, 0 C is reached at 0.68 m (0.677 by the error function).
TEST(LayeredWall, SoilFreezesToTheDepthOfTheErrorFunction) {
    const Material soil{"soil", 0.52, 2050, 1840, ""};
    const double depth_m = 8, alpha = 0.52 / (2050.0 * 1840);
    const LayeredWall wall(std::vector<Layer>{{soil, depth_m, {}}}, 3600, 16);
    WallRun run(wall, 20);
    for (int i = 0; i < 60 * 24; ++i) run.step(-15, 20);
    const double cell_m = depth_m / static_cast<double>(wall.n_cells());
    const auto& t = run.state.now_c;
    const auto above =
        static_cast<std::size_t>(std::upper_bound(t.begin(), t.end(), 0.0) - t.begin());
    const double share = -t[above - 1] / (t[above] - t[above - 1]);
    const double frost_m = cell_m * (static_cast<double>(above) - 0.5 + share);
    EXPECT_NEAR(frost_m, 0.68, 0.005);
    EXPECT_NEAR(frost_m, 0.677, 0.002);
    const double time_s = 60 * 86400.0 - 1800;
    EXPECT_NEAR(run.in_w_m2, 0.52 * (-15 - 20) / std::sqrt(std::numbers::pi * alpha * time_s),
                0.001 * std::abs(run.in_w_m2));
    for (std::size_t i = 0; i < t.size(); ++i) {
        const double x = cell_m * (static_cast<double>(i) + 0.5);
        EXPECT_NEAR(t[i], -15 + 35 * std::erf(x / (2 * std::sqrt(alpha * time_s))), 0.02);
    }
}

// Semi-infinite body with convection at the face, [incropera] ch. 5:
// erfc(xi) - exp(h x/k + h^2 a t/k^2) erfc(xi + h sqrt(a t)/k).
TEST(LayeredWall, ThickConcreteWarmsLikeASemiInfiniteBody) {
    const double k = 1.8, alpha = 1.8 / 2.4e6, h = 12, depth_m = 3;
    const LayeredWall wall(std::vector<Layer>{film(1 / h), {concrete.material, depth_m, {}}}, 300,
                           8);
    WallRun run(wall, 0);
    const int steps = 12 * 12;
    for (int i = 0; i < steps; ++i) run.step(1, 0);
    const double time_s = 300.0 * (steps - 0.5), reach = std::sqrt(alpha * time_s);
    const double cell_m = depth_m / static_cast<double>(wall.n_cells());
    for (std::size_t i = 0; i < wall.n_cells(); ++i) {
        const double x = cell_m * (static_cast<double>(i) + 0.5), xi = x / (2 * reach);
        const double expected =
            std::erfc(xi) -
            std::exp(h * x / k + h * h * reach * reach / k / k) * std::erfc(xi + h * reach / k);
        EXPECT_NEAR(run.state.now_c[i], expected, 1e-4) << x << " m";
    }
}

// Slab with films on both faces, Bi = 1: the middle cools as C1 exp(-zeta1^2 Fo) + C2 exp(-zeta2^2
// Fo)
// + ..., zeta tan zeta = Bi, C = 4 sin zeta / (2 zeta + sin 2 zeta). From [incropera] table 5.1
// (from memory) zeta1 = 0.8603 and C1 = 1.1191; the second root is 3.4256.
TEST(LayeredWall, SlabCoolsByTheFirstTermsOfItsSeries) {
    const double zeta[] = {0.8603, 3.4256};
    const double half_m = 0.1, k = 1.8, alpha = k / 2.4e6, h = k / half_m;
    double c[2];
    for (int j = 0; j < 2; ++j) {
        EXPECT_NEAR(zeta[j] * std::tan(zeta[j]), 1.0, 1e-3);
        c[j] = 4 * std::sin(zeta[j]) / (2 * zeta[j] + std::sin(2 * zeta[j]));
    }
    EXPECT_NEAR(c[0], 1.1191, 5e-5);
    const LayeredWall wall(std::vector<Layer>{film(1 / h), concrete, film(1 / h)}, 60, 8);
    WallRun run(wall, 1);
    const double per_step = alpha * 60 / (half_m * half_m);
    for (int i = 1; i * per_step < 2.0; ++i) {
        run.step(0, 0);
        const std::size_t n = wall.n_cells();
        const double middle = (run.state.now_c[(n - 1) / 2] + run.state.now_c[n / 2]) / 2;
        const double fo = (i - 0.5) * per_step;
        if (fo < 0.2) continue;
        const double one = c[0] * std::exp(-zeta[0] * zeta[0] * fo);
        EXPECT_NEAR(middle, one + c[1] * std::exp(-zeta[1] * zeta[1] * fo), 2e-4) << fo;
        if (fo > 0.6) {
            EXPECT_NEAR(middle, one, 4e-4) << fo;
        }
    }
}

// --- Order of convergence ----------------------------------------------------------------------

double fluxes_after_a_day(const std::vector<Layer>& layers, double step_s, int refine) {
    const LayeredWall wall(layers, step_s, refine);
    WallRun run(wall, 0);
    const double omega = 2 * std::numbers::pi / 86400;
    const int steps = static_cast<int>(86400 / step_s);
    // From rest into a sine squared: smooth from the first step on.
    for (int i = 1; i <= steps; ++i) {
        const double s = std::sin(omega * step_s * i * 0.8);
        run.step(s * s * s * s, 0);
    }
    return run.in_w_m2 + run.out_w_m2;
}

// Thin layers have one cell at every step length and a slab beyond the largest number of cells
// keeps it, so only time is refined.
TEST(LayeredWall, IsSecondOrderInTime) {
    Layer board = plywood;
    board.material.conductivity_w_mk = 5;
    Layer mass = concrete;
    mass.thickness_m = 0.01;
    for (const std::vector<Layer>& layers :
         {std::vector<Layer>{film(0.05), board, film(0.3), mass, film(0.12)},
          std::vector<Layer>{film(0.04), {concrete.material, 2.0, {}}, film(0.13)}}) {
        const double coarse = fluxes_after_a_day(layers, 450, 1),
                     half = fluxes_after_a_day(layers, 225, 1),
                     quarter = fluxes_after_a_day(layers, 112.5, 1);
        EXPECT_GE(std::log2((coarse - half) / (half - quarter)), 1.9);
    }
}

TEST(LayeredWall, IsSecondOrderInSpace) {
    const std::vector<Layer> layers{film(0.04), concrete, film(0.13)};
    const double coarse = fluxes_after_a_day(layers, 900, 1),
                 half = fluxes_after_a_day(layers, 900, 2),
                 quarter = fluxes_after_a_day(layers, 900, 4);
    EXPECT_GE(std::log2(std::abs((coarse - half) / (half - quarter))), 1.9);
}

}  // namespace
}  // namespace noonshell
