// Against the standard library's cube root.
#include "thermal/cube_root.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace noonshell {
namespace {

TEST(CubeRoot, AgreesWithTheLibraryOverAllMagnitudes) {
    for (double x = 1e-12; x < 1e12; x *= 1.0137) {
        EXPECT_NEAR(cube_root(x), std::cbrt(x), 1e-12 * std::cbrt(x)) << x;
    }
}

TEST(CubeRoot, ZeroAndExactCubes) {
    EXPECT_EQ(cube_root(0), 0);
    EXPECT_NEAR(cube_root(27), 3, 3e-12);
    EXPECT_NEAR(cube_root(1000), 10, 1e-11);
}

}  // namespace
}  // namespace noonshell
