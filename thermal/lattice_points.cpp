#include "thermal/lattice_points.hpp"

#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>
#include <random>

namespace noonshell {

namespace {

/// 2 pi^2 times the second Bernoulli polynomial at k/n, for every k.
std::vector<double> kernel_values(std::size_t n) {
    std::vector<double> values;
    for (std::size_t k = 0; k < n; ++k) {
        const double x = static_cast<double>(k) / static_cast<double>(n);
        values.push_back(2 * std::numbers::pi * std::numbers::pi * (x * x - x + 1.0 / 6));
    }
    return values;
}

std::vector<std::size_t> generating_vector(std::size_t n, std::size_t n_dimensions) {
    const std::vector<double> kernel = kernel_values(n);
    std::vector<double> product(n, 1.0);  // of the dimensions so far, at every point
    std::vector<std::size_t> vector;
    for (std::size_t j = 0; j < n_dimensions; ++j) {
        const double weight = 1 / static_cast<double>((j + 1) * (j + 1));
        std::size_t best = 1;
        double least = std::numeric_limits<double>::infinity();
        // z and n - z are alike.
        for (std::size_t z = 1; z <= n / 2 || z == 1; ++z) {
            if (std::gcd(z, n) != 1) continue;
            double error = 0;
            for (std::size_t k = 0; k < n; ++k)
                error += product[k] * (1 + weight * kernel[k * z % n]);
            if (error >= least) continue;
            least = error;
            best = z;
        }
        for (std::size_t k = 0; k < n; ++k) product[k] *= 1 + weight * kernel[k * best % n];
        vector.push_back(best);
    }
    return vector;
}

}  // namespace

std::vector<double> lattice_points(std::size_t n, std::size_t n_dimensions, unsigned seed) {
    const std::vector<std::size_t> vector = generating_vector(n, n_dimensions);
    std::mt19937 random(seed);
    constexpr double full = 4294967296.0;  // one more than the generator's largest number
    std::vector<double> shift(n_dimensions);
    for (double& s : shift) s = static_cast<double>(random()) / full;
    std::vector<double> points;
    points.reserve(n * n_dimensions);
    for (std::size_t k = 0; k < n; ++k) {
        for (std::size_t j = 0; j < n_dimensions; ++j) {
            const double x =
                static_cast<double>(k * vector[j] % n) / static_cast<double>(n) + shift[j];
            points.push_back(x - std::floor(x));
        }
    }
    return points;
}

}  // namespace noonshell
