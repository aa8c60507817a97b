// The rank-one form of a reflectance change against a dense solve of the whole light balance.
#include "solar/reflectance_change.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <random>

#include "solar/exposure.hpp"
#include "tests/support/box_model.hpp"

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
    Envelope envelope;  // wholly exposed
    for (std::size_t i = 0; i < n; ++i) {
        envelope.surfaces.emplace_back();
        envelope.surfaces.back().area_m2 = envelope.surfaces.back().exposed_area_m2 = 1;
    }
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
        const std::vector<double> c = light_coupling(envelope, exchange, reflectance, SurfaceId(k));
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

/// The same on a real yard with partly covered surfaces: against exposing it anew with the new
/// reflectance, hour by hour.
TEST(ReflectanceChange, EqualsExposingAnewWherePartsAreCovered) {
    using namespace test_models;
    // A box half over another, and a tall one across a narrow yard.
    const BoxModel model = box_model({{"low", {0, 0, 0}, {6, 2.4, 2.6}},
                                      {"top", {3, 0, 2.61}, {6, 2.4, 2.6}},
                                      {"tall", {0, 4, 0}, {9, 2.4, 5.2}}});
    EnvelopeOptions options;
    options.ground_z_m = -0.5;
    const Envelope envelope = build_envelope(model.model, model.roles, options);
    const Site site{.latitude_deg = 27, .ground_albedo = 0.4};
    const Weather weather = design_day_weather(site, {}, 2023);
    const SunPath path = sun_path(site, weather, 1200);
    const RayScene scene(envelope.blockers);
    const ExchangeMatrix exchange = trace_exchange(envelope, scene);
    const Sunlight sunlight = trace_sunlight(envelope, scene, path, weather);
    const std::vector<double> before(envelope.surfaces.size(), 0.3);
    const auto light = [&](const std::vector<double>& reflectance) {
        const Exposure e = expose(envelope, site, weather, path, sunlight, exchange, reflectance);
        std::vector<double> sum(e.direct_w_m2.size());
        for (std::size_t i = 0; i < sum.size(); ++i) {
            sum[i] = e.direct_w_m2[i] + e.sky_w_m2[i] + e.ground_w_m2[i] + e.bounced_w_m2[i];
        }
        return sum;
    };
    const std::vector<double> base = light(before);
    const std::size_t n = envelope.surfaces.size();
    bool partly_covered = false;
    double most_moved = 0;
    for (std::size_t k = 0; k < n; ++k) {
        const Surface& surface = envelope.surfaces[k];
        if (surface.exposed_area_m2 <= 0) continue;
        partly_covered |= surface.exposed_area_m2 < 0.9 * surface.area_m2;
        std::vector<double> coated = before;
        coated[k] = 0.8;
        const std::vector<double> anew = light(coated);
        const std::vector<double> c = light_coupling(envelope, exchange, before, SurfaceId(k));
        for (std::size_t h = 0; h < weather.size(); ++h) {
            const double lit = base[h * n + k] / (1 - c[k] * 0.5);
            for (std::size_t j = 0; j < n; ++j) {
                EXPECT_NEAR(base[h * n + j] + c[j] * 0.5 * lit, anew[h * n + j],
                            1e-6 * (1 + anew[h * n + j]));
                most_moved = std::max(most_moved, anew[h * n + j] - base[h * n + j]);
            }
        }
    }
    EXPECT_TRUE(partly_covered);
    EXPECT_GT(most_moved, 10);  // a white roof below a wall is felt
}

}  // namespace
}  // namespace noonshell
