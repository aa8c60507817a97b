// Gaps in hourly series; the straight line itself is the oracle.
#include "solar/gap_fill.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

namespace noonshell {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

TEST(GapFill, FindsRunsAndTheOneThatWraps) {
    const std::vector<double> values{nan, 1, nan, nan, 2, nan};
    const auto gaps = find_gaps(values);
    ASSERT_EQ(gaps.size(), 2u);
    EXPECT_EQ(gaps[0].begin, 2u);
    EXPECT_EQ(gaps[0].length, 2u);
    EXPECT_EQ(gaps[1].begin, 5u);
    EXPECT_EQ(gaps[1].length, 2u);
}

TEST(GapFill, TakesNothingButGapAsOne) {
    const auto gaps = find_gaps(std::vector<double>(4, nan));
    ASSERT_EQ(gaps.size(), 1u);
    EXPECT_EQ(gaps[0].length, 4u);
    EXPECT_TRUE(find_gaps(std::vector<double>{1, 2}).empty());
}

TEST(GapFill, RestoresALinearRampExactly) {
    std::vector<double> ramp;
    for (int i = 0; i < 40; ++i) ramp.push_back(3 + 0.25 * i);
    std::vector<double> holed = ramp;
    for (int i = 7; i < 14; ++i) holed[static_cast<std::size_t>(i)] = nan;
    holed[20] = nan;
    for (const Gap& gap : find_gaps(holed)) fill_gap(holed, gap);
    for (std::size_t i = 0; i < ramp.size(); ++i) EXPECT_NEAR(holed[i], ramp[i], 1e-12) << i;
}

TEST(GapFill, JoinsTheEndToTheBeginning) {
    std::vector<double> values{nan, 4, 3, 2, 1, nan};  // from 1 up to 4 in three steps
    for (const Gap& gap : find_gaps(values)) fill_gap(values, gap);
    EXPECT_DOUBLE_EQ(values[5], 2);
    EXPECT_DOUBLE_EQ(values[0], 3);
}

TEST(GapFill, TurnsTheShorterWayRoundTheCompass) {
    std::vector<double> values{350, nan, nan, 20, 340, nan, 320};
    for (const Gap& gap : find_gaps(values)) fill_gap(values, gap, 360);
    EXPECT_DOUBLE_EQ(values[1], 0);
    EXPECT_DOUBLE_EQ(values[2], 10);
    EXPECT_DOUBLE_EQ(values[5], 330);
}

}  // namespace
}  // namespace noonshell
