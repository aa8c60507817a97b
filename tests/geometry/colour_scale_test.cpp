#include "geometry/colour_scale.hpp"

#include <gtest/gtest.h>

#include <Eigen/Core>
#include <cmath>
#include <limits>

namespace noonshell {
namespace {

/// CIE 15: L*, a*, b* from linear RGB of IEC 61966-2-1, D65.
Eigen::Vector3d lab(const Eigen::Vector3d& rgb) {
    Eigen::Matrix3d to_xyz;
    to_xyz << 0.4124564, 0.3575761, 0.1804375, 0.2126729, 0.7151522, 0.0721750, 0.0193339,
        0.1191920, 0.9503041;
    const Eigen::Vector3d white = to_xyz * Eigen::Vector3d::Ones();
    const Eigen::Vector3d ratio = (to_xyz * rgb).cwiseQuotient(white);
    const auto f = [](double t) {
        return t > std::pow(6.0 / 29, 3) ? std::cbrt(t) : t * 841.0 / 108 + 4.0 / 29;
    };
    return {116 * f(ratio.y()) - 16, 500 * (f(ratio.x()) - f(ratio.y())),
            200 * (f(ratio.y()) - f(ratio.z()))};
}

/// IEC 61966-2-1, from the screen's value to the amount of light.
double linear(float screen) {
    const auto v = static_cast<double>(screen);
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
}

/// In linear RGB.
Eigen::Vector3d colour(double t) {
    const Rgb c = scale_colour(t);
    return {linear(c[0]), linear(c[1]), linear(c[2])};
}

/// [machado2009] table 1, severity 1.0, on linear RGB; values from memory, rows sum to 1.
struct Sight {
    const char* name;
    Eigen::Matrix3d matrix;
};
std::vector<Sight> colour_blind_sights() {
    Eigen::Matrix3d protan, deutan;
    protan << 0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116,
        1.051998;
    deutan << 0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940,
        0.968881;
    return {{"protanopia", protan}, {"deuteranopia", deutan}};
}

constexpr int n_steps = 20;

TEST(ColourScale, RisesEvenlyInLightness) {
    const double whole = lab(colour(1))[0] - lab(colour(0))[0];
    EXPECT_GT(whole, 60);
    for (int k = 0; k < n_steps; ++k) {
        const double rise =
            lab(colour((k + 1.0) / n_steps))[0] - lab(colour(static_cast<double>(k) / n_steps))[0];
        EXPECT_NEAR(rise, whole / n_steps, 0.02 * whole / n_steps) << k;
    }
}

TEST(ColourScale, TakesEqualStepsOfColour) {
    const double first = (lab(colour(1.0 / n_steps)) - lab(colour(0))).norm();
    for (int k = 0; k < n_steps; ++k) {
        const double step =
            (lab(colour((k + 1.0) / n_steps)) - lab(colour(static_cast<double>(k) / n_steps)))
                .norm();
        EXPECT_NEAR(step, first, 0.02 * first) << k;
    }
}

TEST(ColourScale, StaysWithinWhatAScreenShows) {
    for (int k = 0; k <= 200; ++k) {
        const Eigen::Vector3d c = colour(k / 200.0);
        EXPECT_GT(c.minCoeff(), 0) << k;  // exactly 0 or 1 would be a value cut off
        EXPECT_LT(c.maxCoeff(), 1) << k;
    }
}

/// A difference of 2.3 is just noticed (Mahy, Van Eycken, Oosterlinck 1994, value from memory).
TEST(ColourScale, IsTakenApartByColourBlindEyes) {
    constexpr double just_noticed = 2.3;
    for (const Sight& sight : colour_blind_sights()) {
        EXPECT_NEAR((sight.matrix * Eigen::Vector3d::Ones() - Eigen::Vector3d::Ones()).norm(), 0,
                    3e-6);
        const auto seen = [&](double t) -> Eigen::Vector3d {
            return lab((sight.matrix * colour(t)).cwiseMax(0.0).cwiseMin(1.0));
        };
        for (int k = 0; k < 10; ++k) {
            const Eigen::Vector3d low = seen(k / 10.0), high = seen((k + 1) / 10.0);
            EXPECT_GT(high[0], low[0]) << sight.name << k;
            EXPECT_GT((high - low).norm(), 2 * just_noticed) << sight.name << k;
        }
    }
}

TEST(ColourScale, TakesTheNearerEndOutside) {
    EXPECT_EQ(scale_colour(-3), scale_colour(0));
    EXPECT_EQ(scale_colour(7), scale_colour(1));
    EXPECT_EQ(scale_colour(std::numeric_limits<double>::infinity()), scale_colour(1));
    EXPECT_EQ(scale_colour(std::numeric_limits<double>::quiet_NaN()), scale_colour(0));
}

}  // namespace
}  // namespace noonshell
