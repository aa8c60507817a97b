#include "thermal/cycle_extrapolation.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>

namespace noonshell {

std::vector<double> extrapolated_c(std::span<const std::vector<double>> states_c) {
    constexpr double farthest_k = 10;
    constexpr double least_pivot = 1e-8;  // what the iterations of a cycle leave is no mode
    const std::vector<double>& last_c = states_c.back();
    if (states_c.size() < 3 || last_c.empty()) return last_c;
    const auto n = static_cast<Eigen::Index>(states_c.size()) - 1;
    Eigen::MatrixXd difference(static_cast<Eigen::Index>(last_c.size()), n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto k = static_cast<std::size_t>(i);
        for (std::size_t c = 0; c < last_c.size(); ++c)
            difference(static_cast<Eigen::Index>(c), i) = states_c[k + 1][c] - states_c[k][c];
    }
    // The last weight is 1 less the others.
    const Eigen::VectorXd last = difference.col(n - 1);
    Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> parts;
    parts.setThreshold(least_pivot);
    parts.compute(difference.leftCols(n - 1).colwise() - last);
    const Eigen::VectorXd weight = parts.solve(-last);
    std::vector<double> limit_c = last_c;
    for (std::size_t c = 0; c < last_c.size(); ++c) {
        for (Eigen::Index i = 0; i + 1 < n; ++i)
            limit_c[c] += weight(i) * (states_c[static_cast<std::size_t>(i) + 1][c] - last_c[c]);
        limit_c[c] = std::clamp(limit_c[c], last_c[c] - farthest_k, last_c[c] + farthest_k);
    }
    return limit_c;
}

double left_to_settle_k(std::span<const double> before_c, std::span<const double> then_c,
                        std::span<const double> now_c) {
    constexpr double no_change_k = 1e-5, slowest = 0.9995;
    double left_k = 0;
    for (std::size_t c = 0; c < now_c.size(); ++c) {
        const double change_k = now_c[c] - then_c[c], change_before_k = then_c[c] - before_c[c];
        if (std::abs(change_k) < no_change_k) continue;
        const double ratio = std::clamp(change_k / change_before_k, -slowest, slowest);
        left_k = std::max(left_k, std::abs(change_k * ratio / (1 - ratio)));
    }
    return left_k;
}

double largest_change_k(std::span<const double> a, std::span<const double> b) {
    double largest = 0;
    for (std::size_t i = 0; i < a.size(); ++i) largest = std::max(largest, std::abs(a[i] - b[i]));
    return largest;
}

}  // namespace noonshell
