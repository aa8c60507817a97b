// A room as one lump: nearly all heat passes with leaking air, so that its temperature follows the
// closed forms of a body of one heat capacity C behind one conductance K, time constant C / K
// ([incropera] ch. 5, lumped capacitance): a step by 1 - exp(-t / tau), a daily sine by the share
// 1 / sqrt(1 + (w tau)^2), late by atan(w tau) / w.
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include "tests/support/hand_building.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr double wall_m2k_w = 20, outside_w_m2k = 8, leaks_per_h = 10, furniture_j_m2k = 600e3;
// A jump of the weather comes up to half a step late.
constexpr double step_s = 60;
constexpr double room_air_j_m3k = 1.2 * 1006, outdoor_air_j_m3k = 1150;

struct LumpedBox {
    Envelope envelope;
    double conductance_w_k = 0, tau_h = 0;

    LumpedBox() {
        add_free_unit(envelope, "box", {6, 2.4, 2.6});
        const Unit& unit = envelope.units[0];
        double area_m2 = 0;
        for (const Surface& s : envelope.surfaces) area_m2 += s.area_m2;
        // Films inside are some 0.15 m2K/W of 20: whatever they are, K moves by less than 0.1 %.
        conductance_w_k = leaks_per_h * unit.volume_m3 / 3600 * outdoor_air_j_m3k +
                          area_m2 / (wall_m2k_w + 1 / outside_w_m2k + 0.15);
        const double capacity_j_k =
            room_air_j_m3k * unit.volume_m3 + furniture_j_m2k * unit.floor_area_m2;
        tau_h = capacity_j_k / conductance_w_k / 3600;
    }

    /// Hourly means of the room's air.
    std::vector<float> air_c(std::size_t n_hours,
                             const std::function<double(double)>& outdoor_c) const {
        Construction wall;
        wall.name = "resistance";
        Layer layer;
        layer.resistance_m2k_w = wall_m2k_w;
        wall.layers = {layer};
        wall.outside_absorptance = wall.outside_emittance = 0;
        Building building = bare_building(envelope, wall);
        building.rooms[0].leakage.air_change_per_h = leaks_per_h;
        building.rooms[0].furniture_j_m2k = furniture_j_m2k;
        Surroundings around = surroundings_of(n_hours, step_s, outside_w_m2k, outdoor_c);
        around.convection = OutsideConvection::iso_6946;  // the coefficient as it is given
        const ExchangeMatrix exchange = free_exchange(envelope);
        const Exposure dark =
            exposure_of(envelope, n_hours, [](std::size_t, const Surface&) { return 0.0; });
        return simulate({envelope, exchange, dark, around}, building).air_c;
    }
};

TEST(LumpedBox, FollowsAStepByTheExponential) {
    const LumpedBox box;
    constexpr std::size_t before_h = 600, after_h = 100;
    constexpr double low_c = 20, high_c = 35;
    // The period begins after its own end: twenty days of 20 C, then, have the last word.
    const std::vector<float> air_c =
        box.air_c(before_h + after_h, [](double hour) { return hour > before_h ? high_c : low_c; });
    EXPECT_NEAR(box.tau_h, 20, 1);
    for (std::size_t h = 0; h < after_h; ++h) {
        const auto from = static_cast<double>(h), to = from + 1;
        const double still_missing =
            box.tau_h * (std::exp(-from / box.tau_h) - std::exp(-to / box.tau_h));
        ASSERT_NEAR(static_cast<double>(air_c[before_h + h]),
                    high_c - (high_c - low_c) * still_missing, 0.01)
            << "hour " << h;
    }
}

TEST(LumpedBox, FollowsADailySineDampedAndLate) {
    const LumpedBox box;
    constexpr double mean_c = 30, swing_k = 8, per_h = 2 * std::numbers::pi / 24;
    const std::vector<float> air_c =
        box.air_c(480, [](double hour) { return mean_c + swing_k * std::sin(per_h * hour); });
    const double lag = per_h * box.tau_h;
    const double left_k = swing_k / std::sqrt(1 + lag * lag), late = std::atan(lag);
    for (std::size_t h = 0; h < 480; ++h) {
        const auto from = static_cast<double>(h), to = from + 1;
        const double mean = (std::cos(per_h * from - late) - std::cos(per_h * to - late)) / per_h;
        ASSERT_NEAR(static_cast<double>(air_c[h]), mean_c + left_k * mean, 0.01) << "hour " << h;
    }
    EXPECT_NEAR(left_k, 1.5, 0.1);
}

}  // namespace
}  // namespace noonshell
