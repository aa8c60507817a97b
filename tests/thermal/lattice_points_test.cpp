// Points in many dimensions against what any rank-1 lattice must do and against integrals in closed
// form.
#include "thermal/lattice_points.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

namespace noonshell {
namespace {

TEST(LatticePoints, EveryDimensionHasOnePointInEachInterval) {
    for (const std::size_t n : {1u, 2u, 30u, 256u}) {
        const auto points = lattice_points(n, 12, 5);
        for (std::size_t j = 0; j < 12; ++j) {
            std::vector<double> values;
            for (std::size_t k = 0; k < n; ++k) values.push_back(points[k * 12 + j]);
            std::sort(values.begin(), values.end());
            EXPECT_GE(values.front(), 0);
            EXPECT_LT(values.back(), 1);
            for (std::size_t k = 1; k < n; ++k)
                EXPECT_NEAR(values[k] - values[k - 1], 1.0 / static_cast<double>(n), 1e-12);
        }
    }
}

/// The mean of a product over the unit cube is known; that over n random points is off by about
/// its standard deviation over sqrt(n).
TEST(LatticePoints, IntegrateBetterThanRandomPoints) {
    constexpr std::size_t n = 256, d = 8;
    const auto value = [](const double* x) {
        double product = 1;
        for (std::size_t j = 0; j < d; ++j) {
            const double weight = 1.0 / static_cast<double>(j + 1);
            product *= 1 + weight * std::sin(2 * std::numbers::pi * x[j]) * x[j];
        }
        return product;
    };
    // Integral of x sin(2 pi x) over 0..1 is -1 / (2 pi).
    double exact = 1;
    for (std::size_t j = 0; j < d; ++j)
        exact *= 1 - 1 / (2 * std::numbers::pi * static_cast<double>(j + 1));
    double worst_lattice = 0, squares_random = 0;
    std::mt19937 random(1);
    std::uniform_real_distribution<double> unit(0, 1);
    for (unsigned seed = 0; seed < 20; ++seed) {
        const auto points = lattice_points(n, d, seed);
        double lattice = 0, plain = 0;
        for (std::size_t k = 0; k < n; ++k) {
            lattice += value(&points[k * d]) / n;
            std::vector<double> x(d);
            for (double& coordinate : x) coordinate = unit(random);
            plain += value(x.data()) / n;
        }
        worst_lattice = std::max(worst_lattice, std::abs(lattice - exact));
        squares_random += (plain - exact) * (plain - exact) / 20;
    }
    EXPECT_LT(worst_lattice, 0.5 * std::sqrt(squares_random));
}

}  // namespace
}  // namespace noonshell
