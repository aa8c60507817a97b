#include "solar/bounce.hpp"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <random>
#include <tuple>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

constexpr std::size_t lanes = BounceSolver::lanes;

/// A net made by hand from dense shares; what is missing from 1 is sky.
ExchangeNet net_of(const Eigen::MatrixXd& shares, const std::vector<double>& areas) {
    ExchangeNet net;
    const auto n = static_cast<std::size_t>(shares.rows());
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) {
            const double share = shares(static_cast<int>(i), static_cast<int>(j));
            if (share == 0) continue;
            net.column.push_back(static_cast<std::uint32_t>(j));
            net.share.push_back(share);
        }
        net.row_begin.push_back(static_cast<std::uint32_t>(net.share.size()));
        net.sky_share.push_back(1 - shares.row(static_cast<int>(i)).sum());
    }
    net.ground_share.assign(n, 0);
    net.context_share.assign(n, 0);
    net.area_m2 = areas;
    return net;
}

struct Solved {
    std::vector<double> bounced;
    std::vector<LightBalance> balance;
    double at(std::size_t surface, std::size_t lane = 0) const {
        return bounced[surface * lanes + lane];
    }
};

/// `arriving` #nodes, the same times (lane + 1) in each lane.
Solved solve(const ExchangeNet& net, const std::vector<double>& reflectance,
             const std::vector<double>& arriving) {
    std::vector<double> all(arriving.size() * lanes);
    for (std::size_t i = 0; i < all.size(); ++i) {
        all[i] = arriving[i / lanes] * static_cast<double>(i % lanes + 1);
    }
    Solved solved{std::vector<double>(all.size()), {}};
    const BounceSolver solver(net, reflectance);
    std::vector<double> leaving(all.size());
    solver.solve(all, leaving);
    solver.gather(leaving, 0, static_cast<std::uint32_t>(net.size()), solved.bounced);
    solved.balance = solver.balance(all, leaving, solved.bounced);
    return solved;
}

/// Closed cube with the exact shares: every surface sees only the others.
ExchangeNet cube() {
    const double opposed = 0.19982, adjacent = (1 - opposed) / 4;
    Eigen::MatrixXd shares = Eigen::MatrixXd::Constant(6, 6, adjacent);
    for (int i = 0; i < 6; ++i) {
        shares(i, i) = 0;
        shares(i, i ^ 1) = opposed;
    }
    return net_of(shares, std::vector<double>(6, 1.0));
}

// Closed cavity with even light E0 and reflectance rho: E = E0 / (1 - rho), all of it absorbed.
TEST(Bounce, ClosedWhiteCavityHoldsAllLight) {
    for (const double rho : {0.0, 0.2, 0.5, 0.9, 0.98}) {
        const auto solved = solve(cube(), std::vector<double>(6, rho), std::vector<double>(6, 100));
        for (std::size_t s = 0; s < 6; ++s) {
            EXPECT_NEAR(solved.at(s), 100 * rho / (1 - rho), 1e-4 * (1 + 100 * rho)) << rho;
            EXPECT_NEAR(solved.at(s, 7), 8 * solved.at(s), 1e-6 * solved.at(s)) << "not linear";
        }
        for (const auto& balance : solved.balance) {
            EXPECT_LT(balance.residual(), 1e-6);
            EXPECT_NEAR(balance.absorbed_w / balance.arriving_w, 1, 1e-6);
            EXPECT_NEAR(balance.escaped_w / balance.arriving_w, 0, 1e-12);
        }
    }
}

// Two plates that see each other by F, light E0 on the first only. The light goes to and fro:
// on the second F rho1 E0 (1 + r + r^2 + ...) with r = rho1 rho2 F^2, on the first F rho2 times
// that.
TEST(Bounce, TwoPlatesByTheGeometricSeries) {
    for (const double f : {0.2, 0.7, 1.0}) {
        const double rho1 = 0.8, rho2 = 0.6;
        Eigen::MatrixXd shares(2, 2);
        shares << 0, f, f, 0;
        const auto solved = solve(net_of(shares, {3, 3}), {rho1, rho2}, {500, 0});
        const double on_second = f * rho1 * 500 / (1 - rho1 * rho2 * f * f);
        EXPECT_NEAR(solved.at(1), on_second, 1e-4);
        EXPECT_NEAR(solved.at(0), f * rho2 * on_second, 1e-4);
        EXPECT_LT(solved.balance[0].residual(), 1e-7);
    }
}

TEST(Bounce, RandomEnclosuresAgreeWithADirectSolution) {
    std::mt19937 random(99);
    std::uniform_real_distribution<double> uniform(0, 1);
    constexpr int n = 20;
    for (int trial = 0; trial < 20; ++trial) {
        std::vector<double> areas(n), rho(n), arriving(n);
        for (int i = 0; i < n; ++i) {
            const auto k = static_cast<std::size_t>(i);
            areas[k] = 1 + 9 * uniform(random);
            rho[k] = 0.95 * uniform(random);
            arriving[k] = 1000 * uniform(random);
        }
        // Symmetric exchange areas, each row well below its area.
        Eigen::MatrixXd exchange = Eigen::MatrixXd::Zero(n, n);
        for (int i = 0; i < n; ++i) {
            for (int j = 0; j < i; ++j) {
                if (uniform(random) < 0.4) {
                    exchange(i, j) = exchange(j, i) = uniform(random) / n;
                }
            }
        }
        Eigen::MatrixXd shares = exchange;
        for (int i = 0; i < n; ++i) shares.row(i) /= areas[static_cast<std::size_t>(i)];
        const Eigen::Map<Eigen::VectorXd> e0(arriving.data(), n), r(rho.data(), n);
        const Eigen::MatrixXd system = Eigen::MatrixXd::Identity(n, n) - r.asDiagonal() * shares;
        const Eigen::VectorXd leaving = system.lu().solve(r.cwiseProduct(e0));
        const Eigen::VectorXd exact = shares * leaving;
        const auto solved = solve(net_of(shares, areas), rho, arriving);
        for (int i = 0; i < n; ++i) {
            EXPECT_NEAR(solved.at(static_cast<std::size_t>(i)), exact[i], 1e-5);
        }
        for (const auto& balance : solved.balance) EXPECT_LT(balance.residual(), 1e-7);
    }
}

TEST(Bounce, TheBalanceNoticesAMatrixThatMakesLight) {
    Eigen::MatrixXd shares(2, 2);
    shares << 0, 0.5, 0.5, 0;  // equal shares of unequal areas break reciprocity
    const auto solved = solve(net_of(shares, {1, 2}), {0.5, 0.5}, {100, 0});
    EXPECT_GT(solved.balance[0].residual(), 0.01);
}

// Of two plates the light on each comes from the other alone.
TEST(Bounce, GathersFromAPartOfTheNodes) {
    Eigen::MatrixXd shares(3, 3);
    shares << 0, 0.3, 0.2, 0.3, 0, 0.1, 0.2, 0.1, 0;
    const ExchangeNet net = net_of(shares, {1, 1, 1});
    const BounceSolver solver(net, std::vector<double>(3, 0.5));
    std::vector<double> leaving(3 * lanes, 0.0), light(3 * lanes);
    leaving[1 * lanes] = 100;
    leaving[2 * lanes] = 50;
    solver.gather(leaving, 2, 3, light);
    EXPECT_NEAR(light[0], 0.2 * 50, 1e-12);
    EXPECT_NEAR(light[lanes], 0.1 * 50, 1e-12);
    solver.gather(leaving, 0, 2, light);
    EXPECT_NEAR(light[0], 0.3 * 100, 1e-12);
    EXPECT_EQ(light[lanes], 0);
}

/// A net of random shares, each row 0.8 in all, whose two ways agree.
ExchangeNet random_net(Eigen::Index n) {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> unit(0, 1);
    Eigen::MatrixXd shares = Eigen::MatrixXd::Zero(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
        for (Eigen::Index j = 0; j < i; ++j) shares(i, j) = shares(j, i) = unit(random);
    }
    shares *= 0.8 / shares.rowwise().sum().maxCoeff();
    return net_of(shares, std::vector<double>(static_cast<std::size_t>(n), 1.0));
}

// The same equation in single precision, within its own tolerance of the solution by double.
TEST(Bounce, SinglePrecisionKeepsItsTolerance) {
    constexpr std::size_t n = 41;
    const ExchangeNet net = random_net(n);
    std::vector<double> reflectance(n), arriving(n * lanes), leaving(n * lanes);
    for (std::size_t i = 0; i < n; ++i) reflectance[i] = 0.02 * static_cast<double>(i) + 0.1;
    for (std::size_t i = 0; i < arriving.size(); ++i) {
        arriving[i] = 700 + 300 * std::sin(static_cast<double>(i * i));
    }
    const BounceSolver solver(net, reflectance, {.tolerance = 1e-12});
    solver.solve(arriving, leaving);
    const double brightest = *std::max_element(leaving.begin(), leaving.end());
    const std::vector<float> arriving_single(arriving.begin(), arriving.end());
    std::vector<float> single(arriving.size());
    double loosest = 0;
    for (const double tolerance : {1e-2, 1e-4, 1e-6}) {
        solver.solve(arriving_single, tolerance, single);
        double worst = 0;
        for (std::size_t i = 0; i < single.size(); ++i) {
            worst = std::max(worst, std::abs(static_cast<double>(single[i]) - leaving[i]));
        }
        EXPECT_LT(worst, tolerance * brightest + 1e-6 * brightest);
        loosest = std::max(loosest, worst);
    }
    EXPECT_GT(loosest, 1e-5 * brightest) << "the tolerance does nothing";

    // Sums over rows 3 to 8 from nodes below 17 and from the others, as by the whole rows.
    std::vector<double> weight(n), lower(lanes), upper(lanes), light(n * lanes);
    for (std::size_t i = 0; i < n; ++i) weight[i] = 1 / static_cast<double>(i + 1);
    solver.gather_sum(single, 3, 9, weight, 17, lower, upper);
    for (const auto& [sum, begin, end] :
         {std::tuple(&lower, 0U, 17U), std::tuple(&upper, 17U, static_cast<unsigned>(n))}) {
        solver.gather(leaving, begin, end, light);
        for (std::size_t k = 0; k < lanes; ++k) {
            double expected = 0;
            for (std::size_t i = 3; i < 9; ++i) expected += weight[i] * light[i * lanes + k];
            EXPECT_NEAR((*sum)[k], expected, 3e-6 * expected);
        }
    }
}

TEST(Bounce, DarknessStaysDark) {
    const auto solved = solve(cube(), std::vector<double>(6, 0.7), std::vector<double>(6, 0));
    for (const double e : solved.bounced) EXPECT_EQ(e, 0);
    EXPECT_EQ(solved.balance[0].residual(), 0);
}

TEST(Bounce, AClosedRoomOfPerfectMirrorsDoesNotSettle) {
    EXPECT_THROW(solve(cube(), std::vector<double>(6, 1.0), std::vector<double>(6, 1)),
                 ConvergenceError);
}

TEST(Bounce, ReflectanceOutOfRangeIsRefused) {
    const ExchangeNet net = cube();
    for (const double wrong : {-0.1, 1.1, std::nan("")}) {
        std::vector<double> rho(6, 0.5);
        rho[3] = wrong;
        EXPECT_THROW(BounceSolver(net, rho), InputError);
    }
}

}  // namespace
}  // namespace noonshell
