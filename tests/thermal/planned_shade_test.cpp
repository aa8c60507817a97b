// Planned shades: what they cost, by hand, and the sizes that a search begins with.
#include "thermal/planned_shade.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

PlannedShade canopy() {
    PlannedShade shade;
    ShadeRoof roof;
    roof.name = "canopy";
    roof.over = {"*"};
    shade.form.roofs = {roof};
    shade.reach_m = {0, 2};
    shade.height_m = {0.5, 0.5};
    shade.cost_per_m2 = 20;
    shade.cost_per_piece = 100;
    shade.upkeep_per_m2_year = 0.5;
    return shade;
}

TEST(PlannedShade, CostsItsAreaAndItsPieces) {
    EXPECT_DOUBLE_EQ(cost_of(canopy(), {.area_m2 = 12.5, .pieces = 3}), 20 * 12.5 + 300);
    EXPECT_DOUBLE_EQ(upkeep_per_year(canopy(), {.area_m2 = 12.5, .pieces = 3}), 6.25);
}

TEST(PlannedShade, FirstSizesSpanTheOpenRangesEvenly) {
    PlannedShade shade = canopy();
    EXPECT_EQ(first_sizes(shade), (std::vector<ShadeSize>{{0, 0.5}, {1, 0.5}, {2, 0.5}}));
    shade.height_m = {0.5, 1.5};
    shade.sizes = 2;
    EXPECT_EQ(first_sizes(shade), (std::vector<ShadeSize>{{0, 0.5}, {2, 0.5}, {0, 1.5}, {2, 1.5}}));
    shade.reach_m = {1, 1};
    shade.height_m = {1, 1};
    EXPECT_EQ(first_sizes(shade).size(), 1u);
}

TEST(PlannedShade, TakesItsSize) {
    const ShadeSettings roof = sized(canopy(), {1.25, 0.75});
    EXPECT_EQ(roof.roofs.at(0).overhang_m, (std::array<double, 4>{1.25, 1.25, 1.25, 1.25}));
    EXPECT_EQ(roof.roofs.at(0).height_m, 0.75);
    PlannedShade plate = canopy();
    plate.form = {};
    plate.form.overhangs.emplace_back();
    EXPECT_EQ(sized(plate, {1.25, 0}).overhangs.at(0).depth_m, 1.25);
    plate.form = {};
    plate.form.fins.emplace_back();
    EXPECT_EQ(sized(plate, {1.25, 0}).fins.at(0).depth_m, 1.25);
}

TEST(PlannedShade, RefusesWhatCannotBe) {
    validate(canopy());
    const std::vector<std::function<void(PlannedShade&)>> slips = {
        [](PlannedShade& s) { s.cost_per_m2 = -1; },
        [](PlannedShade& s) { s.cost_per_piece = -1; },
        [](PlannedShade& s) { s.upkeep_per_m2_year = -1; },
        [](PlannedShade& s) { s.call_out_cost = 5; },
        [](PlannedShade& s) { s.life_years = 0; },
        [](PlannedShade& s) { s.sizes = 1; },
        [](PlannedShade& s) {
            s.reach_m = {2, 1};
        },
        [](PlannedShade& s) {
            s.height_m = {-1, 1};
        },
        [](PlannedShade& s) {
            s.form.fins.emplace_back();
            s.form.roofs.clear();
            s.reach_m = {0, 1};  // a fin that reaches nowhere
        }};
    for (std::size_t i = 0; i < slips.size(); ++i) {
        PlannedShade shade = canopy();
        slips[i](shade);
        EXPECT_THROW(validate(shade), InputError) << i;
    }
}

}  // namespace
}  // namespace noonshell
