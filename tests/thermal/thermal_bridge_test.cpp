#include "thermal/thermal_bridge.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace noonshell {
namespace {

Layer slab(const char* name, double thickness_m, double conductivity_w_mk) {
    Layer layer;
    layer.material = {name, conductivity_w_mk, 500, 1000, ""};
    layer.thickness_m = thickness_m;
    return layer;
}

std::vector<Layer> crossed(std::vector<Layer> layers, std::size_t at, const Bridge& bridge) {
    layers[at].bridge = bridge;
    return layers;
}

std::vector<Layer> lined_wall() {
    return {slab("steel", 0.002, 50), slab("mineral wool", 0.09, 0.04), slab("board", 0.012, 0.13)};
}

// Timber-frame wall worked by hand from the definitions of [iso6946] 6.7.2: films 0.17, steel
// 0.00004, board 0.0923; wool 2.25, timber studs of 0.13 W/(m K) on 10 % of the area.
TEST(ThermalBridge, LimitsOfATimberFrame) {
    const BridgedResistance r =
        bridged_resistance(crossed(lined_wall(), 1, {slab("timber", 0.09, 0.13).material, 0.10}));
    const double plain = 0.17 + 0.002 / 50 + 0.012 / 0.13;
    EXPECT_NEAR(r.upper_m2k_w, 1 / (0.1 / (plain + 0.09 / 0.13) + 0.9 / (plain + 2.25)), 1e-12);
    EXPECT_NEAR(r.lower_m2k_w, plain + 0.09 / (0.1 * 0.13 + 0.9 * 0.04), 1e-12);
    EXPECT_NEAR(r.upper_m2k_w, 2.1599, 1e-3);
    EXPECT_NEAR(r.lower_m2k_w, 2.0991, 1e-3);
    EXPECT_LT(r.largest_error(), 0.02);
}

// Heat through one stud spacing in two dimensions, by finite volumes and relaxation: the true
// resistance lies between the two limits (the theorem behind the standard's method).
double resistance_in_two_dimensions(const std::vector<Layer>& layers, std::size_t crossed,
                                    const Bridge& bridge) {
    constexpr double spacing_m = 0.6, step_m = 0.003;
    const auto nx = static_cast<std::size_t>(std::lround(spacing_m / 2 / step_m));
    const auto stud = static_cast<std::size_t>(std::lround(bridge.share * static_cast<double>(nx)));
    std::vector<double> dy;
    std::vector<std::size_t> layer_of;
    for (std::size_t i = 0; i < layers.size(); ++i) {
        const auto n = static_cast<std::size_t>(
            std::max(2.0, std::ceil(layers[i].thickness_m / (2 * step_m))));
        for (std::size_t k = 0; k < n; ++k) {
            dy.push_back(layers[i].thickness_m / static_cast<double>(n));
            layer_of.push_back(i);
        }
    }
    const std::size_t ny = dy.size();
    const auto lambda = [&](std::size_t x, std::size_t y) {
        return layer_of[y] == crossed && x < stud ? bridge.material.conductivity_w_mk
                                                  : layers[layer_of[y]].material.conductivity_w_mk;
    };
    std::vector<double> t(nx * ny, 0.5);
    const auto link_y = [&](std::size_t x, std::size_t y) {  // to y + 1
        return step_m / (dy[y] / (2 * lambda(x, y)) + dy[y + 1] / (2 * lambda(x, y + 1)));
    };
    const auto link_x = [&](std::size_t x, std::size_t y) {  // to x + 1
        return dy[y] / (step_m / (2 * lambda(x, y)) + step_m / (2 * lambda(x + 1, y)));
    };
    const double out_film = 0.04, in_film = 0.13;
    double flow = 0;
    for (int sweep = 0; sweep < 40000; ++sweep) {
        double moved = 0;
        for (std::size_t y = 0; y < ny; ++y) {
            for (std::size_t x = 0; x < nx; ++x) {
                double sum = 0, links = 0;
                const auto join = [&](double link, double to) {
                    sum += link * to;
                    links += link;
                };
                if (y == 0) join(step_m / (out_film + dy[y] / (2 * lambda(x, y))), 0);
                if (y + 1 == ny) join(step_m / (in_film + dy[y] / (2 * lambda(x, y))), 1);
                if (y > 0) join(link_y(x, y - 1), t[(y - 1) * nx + x]);
                if (y + 1 < ny) join(link_y(x, y), t[(y + 1) * nx + x]);
                if (x > 0) join(link_x(x - 1, y), t[y * nx + x - 1]);
                if (x + 1 < nx) join(link_x(x, y), t[y * nx + x + 1]);
                const double next = sum / links;
                double& now = t[y * nx + x];
                moved = std::max(moved, std::abs(next - now));
                now += 1.9 * (next - now);
            }
        }
        if (moved < 1e-11) break;
    }
    for (std::size_t x = 0; x < nx; ++x)
        flow += t[x] * step_m / (out_film + dy[0] / (2 * lambda(x, 0)));
    return static_cast<double>(nx) * step_m / flow;
}

TEST(ThermalBridge, TheTrueResistanceLiesBetweenTheLimits) {
    const std::vector<Layer> layers = {slab("sheathing", 0.02, 0.13), slab("wool", 0.09, 0.04),
                                       slab("board", 0.02, 0.2)};
    for (const auto& [conductivity, share] : {std::pair{0.13, 0.1}, {0.4, 0.05}, {2.0, 0.03}}) {
        const Bridge bridge{slab("rib", 0.09, conductivity).material, share};
        const BridgedResistance r = bridged_resistance(crossed(layers, 1, bridge));
        const double truth = resistance_in_two_dimensions(layers, 1, bridge);
        EXPECT_LT(truth, r.upper_m2k_w);
        EXPECT_GT(truth, r.lower_m2k_w);
        EXPECT_LT(std::abs(truth / r.mean_m2k_w() - 1), r.largest_error());
    }
}

TEST(ThermalBridge, OneLayerInPlaceKeepsResistanceAndCapacity) {
    std::vector<Layer> layers = lined_wall();
    const Bridge bridge{{"steel", 50, 7800, 480, ""}, 1.0 / 300};
    const BridgedResistance r = bridged_resistance(crossed(layers, 1, bridge));
    const double capacity = layers[1].heat_capacity_j_m2k();
    layers[1].bridge = bridge;
    put_bridges(layers);
    double sum = wall_films_m2k_w;
    for (const Layer& layer : layers) sum += layer.resistance();
    EXPECT_NEAR(sum, r.mean_m2k_w(), 1e-12);
    EXPECT_NEAR(layers[1].heat_capacity_j_m2k(), capacity * 299 / 300 + 0.09 * 7800 * 480.0 / 300,
                1e-6);
    EXPECT_EQ(layers[1].material.name, "mineral wool crossed by steel");
    // A bridge of the layer's own material changes nothing.
    layers = lined_wall();
    std::vector<Layer> same = crossed(layers, 1, {layers[1].material, 0.3});
    put_bridges(same);
    EXPECT_NEAR(same[1].resistance(), layers[1].resistance(), 1e-12);
}

/// Steel, gap 30 mm, wool 90 mm, board: studs through wool and gap, and battens across studs.
std::vector<Layer> wall_with_gap() {
    std::vector<Layer> layers = {slab("steel", 0.002, 50), slab("air", 0.03, 0.18),
                                 slab("wool", 0.09, 0.04), slab("board", 0.012, 0.13)};
    return layers;
}

// By hand from the definitions of [iso6946] 6.7.2: one stud on 10 % of the area makes two sections,
// however many layers it passes through.
TEST(ThermalBridge, OneStudThroughTwoLayers) {
    std::vector<Layer> layers = wall_with_gap();
    const Material timber = slab("timber", 1, 0.13).material;
    layers[1].bridge = Bridge{timber, 0.1};
    layers[2].bridge = Bridge{timber, 0.1, true};
    const double plain = 0.17 + 0.002 / 50 + 0.012 / 0.13, air = 0.03 / 0.18, wool = 2.25;
    const double upper = 1 / (0.1 / (plain + 0.12 / 0.13) + 0.9 / (plain + air + wool));
    const double lower_air = 1 / (0.1 / (0.03 / 0.13) + 0.9 / air);
    const double lower_wool = 1 / (0.1 / (0.09 / 0.13) + 0.9 / wool);
    const BridgedResistance wall = put_bridges(layers);
    EXPECT_NEAR(wall.upper_m2k_w, upper, 1e-12);
    EXPECT_NEAR(wall.lower_m2k_w, plain + lower_air + lower_wool, 1e-12);
    double sum = wall_films_m2k_w;
    for (const Layer& layer : layers) sum += layer.resistance();
    EXPECT_NEAR(sum, wall.mean_m2k_w(), 1e-12);
    EXPECT_NEAR(layers[2].resistance() / layers[1].resistance(), lower_wool / lower_air, 1e-12);
}

// Cut into two sheets, a crossed layer is what it was: a stud that goes on is one stud.
TEST(ThermalBridge, ALayerInTwoSheetsIsTheLayer) {
    const Bridge stud{slab("timber", 1, 0.13).material, 0.08};
    Bridge on = stud;
    on.goes_on = true;
    const std::vector<Layer> one = crossed(lined_wall(), 1, stud);
    std::vector<Layer> two = {slab("steel", 0.002, 50), slab("wool", 0.03, 0.04),
                              slab("wool", 0.06, 0.04), slab("board", 0.012, 0.13)};
    two[1].bridge = stud;
    two[2].bridge = on;
    EXPECT_NEAR(bridged_resistance(one).upper_m2k_w, bridged_resistance(two).upper_m2k_w, 1e-12);
    EXPECT_NEAR(bridged_resistance(one).lower_m2k_w, bridged_resistance(two).lower_m2k_w, 1e-12);
}

// Battens across studs: four sections, with the products of both shares.
TEST(ThermalBridge, BridgesThatCrossMakeFourSections) {
    std::vector<Layer> layers = wall_with_gap();
    layers[1].bridge = Bridge{slab("timber", 1, 0.13).material, 0.08};
    layers[2].bridge = Bridge{slab("stud", 1, 0.2).material, 0.1};
    const double plain = 0.17 + 0.002 / 50 + 0.012 / 0.13;
    const double air = 0.03 / 0.18, batten = 0.03 / 0.13, wool = 2.25, stud = 0.09 / 0.2;
    const double upper =
        1 / (0.08 * 0.1 / (plain + batten + stud) + 0.08 * 0.9 / (plain + batten + wool) +
             0.92 * 0.1 / (plain + air + stud) + 0.92 * 0.9 / (plain + air + wool));
    const BridgedResistance wall = bridged_resistance(layers);
    EXPECT_NEAR(wall.upper_m2k_w, upper, 1e-12);
    EXPECT_LT(wall.lower_m2k_w, wall.upper_m2k_w);
    // With next to no area they are not there.
    layers[1].bridge->share = layers[2].bridge->share = 1e-12;
    EXPECT_NEAR(bridged_resistance(layers).mean_m2k_w(), plain + air + wool, 1e-9);
}

}  // namespace
}  // namespace noonshell
