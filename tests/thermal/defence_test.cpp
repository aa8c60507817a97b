// The layers of defence in turn: what each stage is made of, and the signs of what it does.
#include "thermal/defence.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/support/row_of_units.hpp"
#include "thermal/finishes.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// Listed from the outside, with a second coating that no stage takes.
std::vector<Treatment> treatments() {
    Treatment cladding;
    cladding.name = "clad";
    cladding.kind = TreatmentKind::vented_cladding;
    cladding.cost_per_m2 = 50;
    cladding.aged_reflectance = 0.45;
    cladding.cladding =
        VentedCladding{{{"tin", 50, 7800, 450, "test"}, 0.0006, {}}, 0.05, 0.02, 0.9};
    Treatment wrap;
    wrap.name = "wrap";
    wrap.kind = TreatmentKind::outside_insulation;
    wrap.cost_per_m2 = 60;
    wrap.fixed_cost = 100;
    wrap.aged_reflectance = 0.4;
    wrap.surfaces = {"*/roof"};
    wrap.added = {{{"foam", 0.03, 30, 1400, "test"}, 0.05, std::nullopt}};
    Treatment white;
    white.name = "white";
    white.cost_per_m2 = 10;
    white.aged_reflectance = 0.7;
    Treatment other = white;
    other.name = "other white";
    return {cladding, wrap, white, other};
}

std::vector<DefenceStage> stages_of(const Row& row, unsigned threads = 0) {
    const Response with = simulate(row.inputs(), row.building);
    const Response free = simulate(row.inputs(), free_running(row.building));
    return defence_in_turn(
        row.inputs(), {row.building, with, free}, treatments(), weather_of_row(),
        AdaptiveModel::en_16798_category_2,
        [&row](std::span<const double>) { return row.exposure; }, {}, threads);
}

TEST(Defence, ReflectsThenWrapsThenVents) {
    const std::vector<Treatment> all = treatments();
    EXPECT_EQ(layers_of_defence(all), (std::vector<std::size_t>{2, 1, 0}));
    EXPECT_EQ(layers_of_defence(std::span(all).first(2)), (std::vector<std::size_t>{1, 0}));
    EXPECT_TRUE(layers_of_defence({}).empty());
}

TEST(Defence, TheCoatIsOutermostAndTheInsulationOnTheSteel) {
    const std::vector<Treatment> all = treatments();
    const Construction steel = bare_wall();
    const std::vector<const Treatment*> in_turn = {&all[2], &all[1], &all[0]};
    const Construction wall = defended(steel, in_turn);
    ASSERT_EQ(wall.layers.size(), steel.layers.size() + 1);
    EXPECT_EQ(wall.layers.front().material.name, "foam");
    ASSERT_TRUE(wall.cladding.has_value());
    EXPECT_DOUBLE_EQ(wall.outside_absorptance, 1 - 0.7);
    // Without the coat the cladding's own face counts.
    EXPECT_DOUBLE_EQ(defended(steel, std::span(in_turn).subspan(1)).outside_absorptance, 1 - 0.45);
}

/// Under a hot sky each layer leaves less to cool, cooler steel and a smaller plant (signs).
TEST(Defence, EachLayerLeavesLessToCool) {
    const Row row;
    const std::vector<DefenceStage> stages = stages_of(row);
    ASSERT_EQ(stages.size(), 4u);
    EXPECT_TRUE(stages[0].treatments.empty());
    EXPECT_EQ(stages[0].cost, 0);
    const auto sum = [](const std::vector<double>& values) {
        double total = 0;
        for (const double value : values) total += value;
        return total;
    };
    for (std::size_t i = 1; i < stages.size(); ++i) {
        EXPECT_LT(sum(stages[i].cooling_j), 0.98 * sum(stages[i - 1].cooling_j)) << i;
        EXPECT_LE(stages[i].peak_steel_c.value, stages[i - 1].peak_steel_c.value) << i;
        for (std::size_t u = 0; u < 3; ++u) {
            EXPECT_LT(stages[i].peak_cooling_w[u].value, stages[i - 1].peak_cooling_w[u].value);
        }
    }
    // Insulation under a white coat also keeps in what the room would lose through it, so that
    // only the whole is sure to help a room that nothing cools.
    EXPECT_LT(stages[1].peak_free_air_c.value, stages[0].peak_free_air_c.value - 1);
    EXPECT_LT(stages[3].peak_free_air_c.value, stages[0].peak_free_air_c.value - 1);
    ASSERT_TRUE(stages[0].hottest_surface.valid());
    EXPECT_EQ(row.envelope.surfaces[stages[0].hottest_surface.index()].kind, SurfaceKind::roof);
}

/// The first stage is the run of a building painted by hand, and costs what the price list says.
TEST(Defence, AStageIsTheRunOfItsBuilding) {
    const Row row;
    const std::vector<DefenceStage> stages = stages_of(row);
    Building white = row.building;
    double area_m2 = 0;
    for (std::size_t s = 0; s < row.envelope.surfaces.size(); ++s) {
        const Surface& surface = row.envelope.surfaces[s];
        if (surface.kind == SurfaceKind::floor || surface.exposed_area_m2 <= 0) continue;
        white.exposed[s].outside_absorptance = 1 - 0.7;
        white.exposed[s].outside_emittance = 0.9;
        area_m2 += surface.exposed_area_m2;
    }
    const Response painted = simulate(row.inputs(), white);
    EXPECT_NEAR(stages[1].treated_area_m2, area_m2, 1e-9);
    EXPECT_NEAR(stages[1].cost, 10 * area_m2, 1e-9);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_DOUBLE_EQ(stages[1].cooling_j[u], painted.cooling_j[u]);
    }
    double roofs_m2 = 0;
    for (const Surface& surface : row.envelope.surfaces) {
        if (surface.kind == SurfaceKind::roof) roofs_m2 += surface.exposed_area_m2;
    }
    EXPECT_NEAR(stages[2].cost - stages[1].cost, 60 * roofs_m2 + 3 * 100, 1e-9);
}

TEST(Defence, OneThreadGivesTheBytesOfTwo) {
    const Row row;
    const std::vector<DefenceStage> one = stages_of(row, 1), two = stages_of(row, 2);
    for (std::size_t i = 0; i < one.size(); ++i) {
        EXPECT_EQ(one[i].cooling_j, two[i].cooling_j);
        EXPECT_EQ(one[i].peak_free_air_c.value, two[i].peak_free_air_c.value);
    }
}

}  // namespace
}  // namespace noonshell
