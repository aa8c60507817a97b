#include "thermal/periodic_transfer.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <numbers>

#include "geometry/diagnostics.hpp"
#include "thermal/layered_wall.hpp"

namespace noonshell {
namespace {

constexpr double inside_film = 0.13, outside_film = 0.04;

struct Component {
    const char* name;
    std::vector<Layer> layers;  // from inside
    double u, y12, decrement, shift_h, inside_kj, outside_kj;
};

Layer slab(double mm, double k, double density, double heat) {
    return {{"", k, density, heat, ""}, mm / 1000, {}};
}

const Layer steel = slab(2, 50, 7800, 450);
// Derived from the formulas of [iso13786] for a period of 24 h, films 0.13 and 0.04 m2 K/W; the
// standard's own annex example is not at hand.
const std::array<Component, 4> components{{
    {"steel sheet", {steel}, 5.881, 5.880, 0.9999, -0.06, 1.65, 5.37},
    {"steel and PIR",
     {slab(50, 0.025, 30, 1400), steel},
     0.4608,
     0.4604,
     0.9990,
     -0.30,
     1.14,
     7.98},
    {"plywood, wool, steel",
     {slab(12, 0.17, 700, 1600), slab(80, 0.036, 60, 1030), steel},
     0.4060,
     0.3988,
     0.9822,
     -1.26,
     14.74,
     10.36},
    {"concrete", {slab(200, 1.8, 2400, 1000)}, 3.557, 1.827, 0.5136, -5.68, 86.2, 170.9},
}};

TEST(PeriodicTransfer, FollowsTheDerivedTable) {
    for (const Component& c : components) {
        SCOPED_TRACE(c.name);
        const PeriodicTransfer t = periodic_transfer(c.layers, inside_film, outside_film);
        EXPECT_NEAR(t.u_w_m2k, c.u, 0.0006 * c.u);
        EXPECT_NEAR(t.periodic_w_m2k, c.y12, 0.0006 * c.y12);
        EXPECT_NEAR(t.decrement, c.decrement, 0.0001);
        EXPECT_NEAR(t.shift_h, c.shift_h, 0.0051);
        EXPECT_NEAR(t.inside_capacity_j_m2k / 1000, c.inside_kj, 0.051);
        EXPECT_NEAR(t.outside_capacity_j_m2k / 1000, c.outside_kj, 0.051);
    }
}

TEST(PeriodicTransfer, WithoutMassIsTheSteadyTransmittance) {
    const PeriodicTransfer t =
        periodic_transfer(std::vector<Layer>{{{}, 0, 0.5}}, inside_film, outside_film);
    EXPECT_NEAR(t.periodic_w_m2k, 1 / 0.67, 1e-12);
    EXPECT_NEAR(t.decrement, 1, 1e-12);
    EXPECT_NEAR(t.shift_h, 0, 1e-9);
    EXPECT_THROW(periodic_transfer({}, 0, 0), InputError);
}

// A thick body decays by exp(-x sqrt(omega / 2 alpha)) and lags by x sqrt(omega / 2 alpha) / omega.
TEST(PeriodicTransfer, ThickBodyDecaysLikeAHalfSpace) {
    const double alpha = 1.8 / 2.4e6, omega = 2 * std::numbers::pi / 86400;
    const double decay = std::sqrt(omega / (2 * alpha));
    const PeriodicTransfer thin =
        periodic_transfer(std::vector<Layer>{slab(500, 1.8, 2400, 1000)}, 0.1, 0.1);
    const PeriodicTransfer thick =
        periodic_transfer(std::vector<Layer>{slab(600, 1.8, 2400, 1000)}, 0.1, 0.1);
    EXPECT_NEAR(thick.periodic_w_m2k / thin.periodic_w_m2k, std::exp(-decay * 0.1), 1e-3);
    EXPECT_NEAR(thick.shift_h - thin.shift_h, -decay * 0.1 / omega / 3600, 0.01);
}

// The transient wall under a daily sine of outdoor temperature: amplitude and lag of the heat that
// comes in, by its first harmonic over the last day.
std::complex<double> transient_y12(const Component& component, double step_s, int refine) {
    std::vector<Layer> layers{{{}, 0, outside_film}};
    layers.insert(layers.end(), component.layers.rbegin(), component.layers.rend());
    layers.push_back({{}, 0, inside_film});
    const LayeredWall wall(layers, step_s, refine);
    WallState state = wall.uniform_state(0);
    std::vector<double> particular(wall.n_cells());
    const int per_day = static_cast<int>(86400 / step_s);
    std::complex<double> sum = 0;
    for (int i = 1; i <= 12 * per_day; ++i) {
        const std::complex<double> turn =
            std::polar(1.0, 2 * std::numbers::pi * (i % per_day) / per_day);
        const TwoPort port = wall.prepare(state, particular);
        wall.advance(state, particular, turn.real(), 0);
        const double flux = port.ab * turn.real() + port.r_b;
        if (i > 11 * per_day) sum += flux * std::conj(turn);
    }
    return 2.0 * sum / static_cast<double>(per_day);
}

TEST(PeriodicTransfer, TransientWallAgrees) {
    for (const Component& c : components) {
        SCOPED_TRACE(c.name);
        const PeriodicTransfer exact = periodic_transfer(c.layers, inside_film, outside_film);
        const std::complex<double> y = transient_y12(c, 900, 1);
        EXPECT_NEAR(std::abs(y), exact.periodic_w_m2k, 0.005 * exact.periodic_w_m2k);
        EXPECT_NEAR(std::arg(y) * 12 / std::numbers::pi, exact.shift_h, 0.02);
        const std::complex<double> fine = transient_y12(c, 225, 4);
        EXPECT_LT(std::abs(fine - exact.y12), 3e-4 * exact.periodic_w_m2k);
    }
}

}  // namespace
}  // namespace noonshell
