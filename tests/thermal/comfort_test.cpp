#include "thermal/comfort.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "thermal/touch.hpp"

namespace noonshell {
namespace {

constexpr AdaptiveModel en = AdaptiveModel::en_16798_category_2;
constexpr AdaptiveModel ashrae = AdaptiveModel::ashrae_55_80_percent;

// Derived from the published lines (coefficients from memory): at 33.5 C outdoors 28.19 C, 80 %
// upper limit 31.69 C; category II of the European line at 25 C: 0.33 25 + 18.8 + 3.
TEST(Comfort, AdaptiveLines) {
    EXPECT_NEAR(adaptive_comfort_c(ashrae, 33.5), 28.19, 0.0051);
    EXPECT_NEAR(adaptive_upper_limit_c(ashrae, 33.5), 31.69, 0.0051);
    EXPECT_NEAR(adaptive_upper_limit_c(en, 25), 30.05, 1e-9);
    EXPECT_NEAR(adaptive_comfort_c(en, 10), 22.1, 1e-9);
}

TEST(Comfort, LimitIsHeldOutsideTheModelsRange) {
    EXPECT_EQ(adaptive_upper_limit_c(en, 38), adaptive_upper_limit_c(en, 30));
    EXPECT_EQ(adaptive_upper_limit_c(en, -5), adaptive_upper_limit_c(en, 10));
    EXPECT_TRUE(within_adaptive_range(en, 30));
    EXPECT_FALSE(within_adaptive_range(en, 30.1));
    EXPECT_TRUE(within_adaptive_range(ashrae, 33.5));
    EXPECT_FALSE(within_adaptive_range(ashrae, 9.9));
}

// The defining sum, (1 - a)(T1 + a T2 + a^2 T3 ...), over many repeats of the period.
TEST(Comfort, RunningMeanIsTheWeightedSumOfTheDaysBefore) {
    const std::vector<double> days{20, 24, 31, 35, 28, 22, 19};
    const std::vector<double> mean = running_mean_outdoor_c(days);
    for (std::size_t day = 0; day < days.size(); ++day) {
        double sum = 0;
        for (std::size_t i = 1; i <= 210; ++i)
            sum += 0.2 * std::pow(0.8, static_cast<double>(i - 1)) *
                   days[(day + 210 - i) % days.size()];
        EXPECT_NEAR(mean[day], sum, 1e-9);
    }
    EXPECT_NEAR(running_mean_outdoor_c(std::vector<double>{33})[0], 33, 1e-12);
    EXPECT_TRUE(running_mean_outdoor_c({}).empty());
}

TEST(Comfort, CountsHoursAndDegreeHoursOfItsOwnColumn) {
    std::vector<float> two_rooms(2 * 48, 25.0F);
    two_rooms[2 * 10 + 1] = 33.0F;  // first day, limit 30
    two_rooms[2 * 30 + 1] = 31.5F;  // second day, limit 31
    two_rooms[2 * 31 + 1] = 30.5F;  // second day, below
    two_rooms[2 * 12 + 0] = 50.0F;  // the other room
    const std::vector<double> limits{30, 31};
    const TooHot sum = time_too_hot(two_rooms, 2, 1, limits);
    EXPECT_EQ(sum.hours_h, 2);
    EXPECT_NEAR(sum.degree_hours_kh, 3.5, 1e-6);
}

// [iso13732] part 1, bare metal (from memory): longer contact burns at lower temperature. An
// informal list of times to a serious burn (49 C over 5 min, 52 C 1.5 to 2 min, 60 C 5 s, 68 C 1 s)
// must lie at or above the threshold for that contact.
TEST(Touch, ThresholdsFallWithTime) {
    const auto thresholds = bare_metal_touch_thresholds();
    ASSERT_EQ(thresholds.size(), 5U);
    for (std::size_t i = 1; i < thresholds.size(); ++i) {
        EXPECT_GT(thresholds[i].contact_s, thresholds[i - 1].contact_s);
        EXPECT_LT(thresholds[i].threshold_c, thresholds[i - 1].threshold_c);
    }
    const auto at = [&](double seconds) {
        for (const TouchThreshold& t : thresholds)
            if (t.contact_s == seconds) return t.threshold_c;
        return 0.0;
    };
    EXPECT_EQ(at(1), 65);
    EXPECT_EQ(at(10), 55);
    EXPECT_EQ(at(60), 51);
    EXPECT_EQ(at(600), 48);
    EXPECT_EQ(at(8 * 3600), 43);
    EXPECT_LE(at(1), 68);    // 1 s
    EXPECT_LE(at(10), 60);   // 5 s
    EXPECT_LE(at(60), 52);   // 1.5 to 2 min
    EXPECT_LE(at(600), 49);  // over 5 min
}

TEST(Touch, CountsHours) {
    const std::vector<float> faces{40, 70, 65, 65, 64.9F, 80};  // 3 hours x 2 surfaces
    EXPECT_EQ(hours_at_or_above_h(faces, 2, 0, 65), 1);
    EXPECT_EQ(hours_at_or_above_h(faces, 2, 1, 65), 3);
}

}  // namespace
}  // namespace noonshell
