#include "thermal/u_value.hpp"

#include <gtest/gtest.h>

namespace noonshell {
namespace {

Construction lined(double wool_m) {
    Construction c;
    c.layers = {{{"steel", 50, 7800, 480, ""}, 0.002, std::nullopt},
                {{"wool", 0.04, 30, 1030, ""}, wool_m, std::nullopt}};
    return c;
}

// [iso6946]: bare steel has its films alone, 1 / 0.17 = 5.88 for a wall, 1 / 0.14 = 7.14 upward,
// 1 / 0.21 = 4.76 downward (2 mm of steel add 0.00004 m2 K/W).
TEST(UValue, OfBareSteelIsThatOfItsFilms) {
    Construction steel = lined(0.05);
    steel.layers.pop_back();
    EXPECT_NEAR(u_value_w_m2k(steel, HeatFlow::horizontal), 5.88, 0.01);
    EXPECT_NEAR(u_value_w_m2k(steel, HeatFlow::up), 7.14, 0.01);
    EXPECT_NEAR(u_value_w_m2k(steel, HeatFlow::down), 4.76, 0.01);
}

// 100 mm of wool: 1 / (0.17 + 2.5) = 0.375; behind a vented cladding 0.13 + 2.5 + 0.13.
TEST(UValue, OfALinedWallAndBehindACladding) {
    Construction wall = lined(0.1);
    EXPECT_NEAR(u_value_w_m2k(wall, HeatFlow::horizontal), 0.3745, 0.0002);
    wall.cladding.emplace();
    EXPECT_NEAR(u_value_w_m2k(wall, HeatFlow::horizontal), 0.3623, 0.0002);
}

}  // namespace
}  // namespace noonshell
