// Panes by U-value and g-value: what is stated comes out of the standards' own sums again.
#include "thermal/stated_glass.hpp"

#include <gtest/gtest.h>

#include "geometry/diagnostics.hpp"
#include "thermal/window_film.hpp"

namespace noonshell {
namespace {

// Glazings as suppliers list them: single clear, plain double, coated double, coated triple. U by
// [en673] and g by [en410] of the layers made must be those stated.
TEST(StatedGlass, ComesOutAgain) {
    for (const StatedGlass& stated :
         {StatedGlass{5.7, 0.86, 0.07, 1}, StatedGlass{2.8, 0.77, 0.12, 2},
          StatedGlass{1.1, 0.60, 0.25, 2}, StatedGlass{1.1, 0.30, 0.35, 2},
          StatedGlass{0.6, 0.50, 0.28, 3}}) {
        const Construction glass = glass_as_stated("glass", stated, "glass");
        EXPECT_NO_THROW(validate(glass));
        EXPECT_NEAR(pane_u_value_w_m2k(glass), stated.u_value_w_m2k, 0.05);
        if (stated.sheets > 1) {
            EXPECT_NEAR(pane_u_value_w_m2k(glass), stated.u_value_w_m2k, 1e-12);
        }
        EXPECT_NEAR(pane_g_value(glass), stated.g_value, 0.005);
        EXPECT_NEAR(solar_reflectance(glass), stated.solar_reflectance, 1e-12);
        EXPECT_EQ(glass.glass_sheets, stated.sheets);
    }
}

// By hand: two sheets of 4 mm, 1 W/(m K), U 1.1 by 1/25 + 0.008 + R + 1/7.7.
TEST(StatedGlass, TheSpaceTakesWhatTheSheetsLeave) {
    const Construction glass = glass_as_stated("glass", {1.1, 0.6, 0.2, 2}, "glass");
    ASSERT_EQ(glass.layers.size(), 3u);
    EXPECT_NEAR(glass.layers[1].resistance(), 1 / 1.1 - 0.04 - 0.008 - 1 / 7.7, 1e-9);
}

TEST(StatedGlass, WhatNoGlassCanBeIsRefused) {
    EXPECT_THROW(glass_as_stated("glass", {5.8, 0.7, 0.1, 2}, "glass"), InputError);
    EXPECT_THROW(glass_as_stated("glass", {2.8, 0.95, 0.12, 2}, "glass"), InputError);
    EXPECT_THROW(glass_as_stated("glass", {2.8, 0.01, 0.12, 2}, "glass"), InputError);
    try {
        glass_as_stated("glass", {1.1, 0.95, 0.12, 2}, "north");
        FAIL();
    } catch (const InputError& error) {
        EXPECT_EQ(error.place().entity, "north: pane_g_value");
        EXPECT_EQ(error.seen(), "0.95");
    }
}

TEST(StatedGlass, SheetsAreGuessedByTheUValue) {
    EXPECT_EQ(usual_sheets(5.7), 1);
    EXPECT_EQ(usual_sheets(2.8), 2);
    EXPECT_EQ(usual_sheets(1.0), 2);
    EXPECT_EQ(usual_sheets(0.6), 3);
    EXPECT_LT(usual_reflectance(1), usual_reflectance(2));
}

}  // namespace
}  // namespace noonshell
