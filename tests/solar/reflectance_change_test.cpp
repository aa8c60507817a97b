// The rank-one form of a reflectance change against a dense solve of the whole light balance.
#include "solar/reflectance_change.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <random>

namespace noonshell {
namespace {

/// A made exchange matrix of n surfaces with random shares, rows below 1.
ExchangeMatrix made_exchange(std::size_t n, Eigen::MatrixXd& dense) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> share(0.0, 0.9 / static_cast<double>(n));
    ExchangeMatrix x;
    x.n_surfaces = n;
    x.surface_row_begin.push_back(0);
    const auto size = static_cast<Eigen::Index>(n);
    dense = Eigen::MatrixXd::Zero(size, size);
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) {
            if (i == j || random() % 3 == 0) continue;
            const double f = share(random);
            x.surface_column.emplace_back(j);
            x.surface_share.push_back(f);
            dense(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = f;
        }
        x.surface_row_begin.push_back(static_cast<std::uint32_t>(x.surface_column.size()));
    }
    return x;
}

TEST(ReflectanceChange, RankOneFormEqualsADenseSolve) {
    constexpr std::size_t n = 12;
    Eigen::MatrixXd f;
    const ExchangeMatrix exchange = made_exchange(n, f);
    std::mt19937 random(11);
    std::uniform_real_distribution<double> unit(0.1, 0.9);
    std::vector<double> reflectance(n);
    Eigen::VectorXd e0(static_cast<Eigen::Index>(n));
    for (std::size_t i = 0; i < n; ++i) {
        reflectance[i] = unit(random);
        e0(static_cast<Eigen::Index>(i)) = 1000 * unit(random);
    }
    const auto solve = [&](const std::vector<double>& rho) -> Eigen::VectorXd {
        Eigen::VectorXd r(static_cast<Eigen::Index>(n));
        for (std::size_t i = 0; i < n; ++i) r(static_cast<Eigen::Index>(i)) = rho[i];
        const Eigen::MatrixXd identity = Eigen::MatrixXd::Identity(r.size(), r.size());
        return (identity - f * r.asDiagonal()).partialPivLu().solve(e0);
    };
    const Eigen::VectorXd before = solve(reflectance);
    for (std::size_t k = 0; k < n; ++k) {
        const std::vector<double> c = light_coupling(exchange, reflectance, SurfaceId(k));
        const double change = 0.95 - reflectance[k];
        std::vector<double> coated = reflectance;
        coated[k] += change;
        const Eigen::VectorXd after = solve(coated);
        const auto row = static_cast<Eigen::Index>(k);
        const double lit = before(row) / (1 - c[k] * change);
        EXPECT_NEAR(lit, after(row), 1e-8 * after(row));
        for (std::size_t j = 0; j < n; ++j) {
            const auto at = static_cast<Eigen::Index>(j);
            EXPECT_NEAR(before(at) + c[j] * change * lit, after(at), 1e-8 * after(at));
        }
    }
}

}  // namespace
}  // namespace noonshell
