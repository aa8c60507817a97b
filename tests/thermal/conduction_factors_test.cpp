// Conduction time factors of multi-layer walls, [ashrae2021] ch. 18 tables 16 and 17: the hourly
// heat into a room at constant temperature per unit of U dT, for a triangular pulse of sol-air
// temperature with a base of two hours that comes every day.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "tests/thermal/handbook_walls.hpp"
#include "thermal/periodic_transfer.hpp"

namespace noonshell {
namespace {

constexpr handbook::Day pulse{1};

class FactorsByStep : public testing::TestWithParam<double> {};

TEST_P(FactorsByStep, FollowTheHandbook) {
    for (const handbook::Wall& printed : handbook::walls) {
        SCOPED_TRACE(printed.name);
        const LayeredWall wall(printed.layers, GetParam());
        const double u = 1 / wall.resistance_m2k_w();
        EXPECT_NEAR(u, printed.u_w_m2k, 0.01 * printed.u_w_m2k);
        const handbook::Day flux = handbook::inside_flux(wall, pulse, 10);
        double sum = 0;
        for (std::size_t h = 0; h < handbook::hours; ++h) {
            const double expected =
                h < printed.factors_percent.size() ? printed.factors_percent[h] : 0;
            EXPECT_NEAR(100 * flux[h] / u, expected, 1.5) << "hour " << h;
            sum += flux[h] / u;
        }
        EXPECT_NEAR(sum, 1.0, 1e-9);  // what goes in during a day comes out during a day
    }
}

// Second method: the pulse as a Fourier series, each harmonic carried through by transfer matrices.
double exact_factor(std::span<const Layer> layers, double hour) {
    const std::vector<Layer> inside_out(layers.rbegin(), layers.rend());
    std::complex<double> sum = 0;
    for (int n = 1; n <= 400; ++n) {
        const PeriodicTransfer t = periodic_transfer(inside_out, 0, 0, 86400.0 / n);
        const double x = std::numbers::pi * n / 24;
        sum +=
            std::sin(x) * std::sin(x) / (x * x) * t.y12 / t.u_w_m2k * std::polar(1.0, 2 * x * hour);
    }
    return (1 + 2 * sum.real()) / 24;
}

// The pulse is as sharp as hourly weather gets, so this is what one step length costs: the largest
// error of a factor falls at least as the square of the step, to under 0.25 points at 150 s.
TEST(ConductionFactors, ApproachTheExactHarmonics) {
    for (const handbook::Wall& printed : handbook::walls) {
        SCOPED_TRACE(printed.name);
        handbook::Day exact{};
        for (std::size_t h = 0; h < handbook::hours; ++h)
            exact[h] = 100 * exact_factor(printed.layers, static_cast<double>(h));
        for (const double step_s : {150.0, 300.0, 600.0, 900.0}) {
            const LayeredWall wall(printed.layers, step_s);
            const handbook::Day flux = handbook::inside_flux(wall, pulse, 10);
            double worst = 0;
            for (std::size_t h = 0; h < handbook::hours; ++h)
                worst =
                    std::max(worst, std::abs(100 * flux[h] * wall.resistance_m2k_w() - exact[h]));
            EXPECT_LT(worst, 0.25 * (step_s / 150) * (step_s / 150)) << step_s << " s";
        }
    }
}

INSTANTIATE_TEST_SUITE_P(ConductionFactors, FactorsByStep, testing::Values(150.0, 300.0, 600.0));

// Table 29B: heat gain of wall 1 under the printed sol-air day, and the cooling load that the
// printed radiant time series makes of it. Both columns are printed to 1 W.
TEST(WallHeatGain, FollowsTheHandbookDay) {
    const LayeredWall wall(handbook::walls[0].layers, 900);
    handbook::Day above_room{};
    for (std::size_t h = 0; h < handbook::hours; ++h)
        above_room[(h + 1) % 24] = handbook::sol_air_c[h] - handbook::room_c;
    const handbook::Day flux = handbook::inside_flux(wall, above_room, 10);
    // The table rounds the U-value up; its own factors sum to one.
    const double scale = handbook::area_m2 * handbook::table_u_w_m2k * wall.resistance_m2k_w();
    for (std::size_t h = 1; h <= handbook::hours; ++h) {
        EXPECT_NEAR(scale * flux[h % 24], handbook::gain_w[h - 1], 1.5) << "gain, hour " << h;
        double load = (1 - handbook::radiant_share) * scale * flux[h % 24];
        for (std::size_t k = 0; k < handbook::hours; ++k)
            load += handbook::radiant_share * handbook::radiant_percent[k] / 100 * scale *
                    flux[(h + 24 - k) % 24];
        EXPECT_NEAR(load, handbook::load_w[h - 1], 1.5) << "load, hour " << h;
    }
}

}  // namespace
}  // namespace noonshell
