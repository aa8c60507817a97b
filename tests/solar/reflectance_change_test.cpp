// The rank-one form of a reflectance change against a dense solve of the whole light balance.
#include "solar/reflectance_change.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "geometry/ground.hpp"
#include "solar/exposure.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

/// A made exchange of n surfaces, one part each, with random shares, rows below 1.
ExchangeMatrix made_exchange(std::size_t n, Eigen::MatrixXd& dense) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> share(0.0, 0.9 / static_cast<double>(n));
    ExchangeMatrix x;
    x.parts.surface_begin = {0};
    const auto size = static_cast<Eigen::Index>(n);
    dense = Eigen::MatrixXd::Zero(size, size);
    ExchangeNet& net = x.part_net;
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) {
            if (i == j || random() % 3 == 0) continue;
            const double f = share(random);
            net.column.push_back(static_cast<std::uint32_t>(j));
            net.share.push_back(f);
            dense(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = f;
        }
        net.row_begin.push_back(static_cast<std::uint32_t>(net.column.size()));
        x.parts.surface.emplace_back(i);
        x.parts.area_m2.push_back(1);
        x.parts.surface_begin.push_back(static_cast<std::uint32_t>(i + 1));
    }
    net.area_m2.assign(n, 1.0);
    net.sky_share.assign(n, 0.0);
    net.ground_share = net.context_share = net.horizon_share = net.sky_share;
    return x;
}

std::vector<double> coupling_of(const Envelope& envelope, const ExchangeMatrix& exchange,
                                const Exposure& exposure, std::size_t k) {
    const std::vector<SurfaceId> one{SurfaceId(k)};
    return light_couplings(envelope, exchange, exposure, one).front();
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
    Exposure exposure;
    exposure.n_surfaces = exposure.n_parts = n;
    exposure.reflectance = reflectance;
    exposure.part_light_wh_m2.assign(n, 1.0);
    for (std::size_t k = 0; k < n; ++k) {
        const std::vector<double> c = coupling_of(envelope, exchange, exposure, k);
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

/// A yard with partly covered surfaces, its light, and what a coating does to it, anew.
class CoatedYard {
  public:
    explicit CoatedYard(double part_size_m) {
        using namespace test_models;
        // A box half over another, and a tall one across a narrow yard.
        const BoxModel model = box_model({{"low", {0, 0, 0}, {6, 2.4, 2.6}},
                                          {"top", {3, 0, 2.61}, {6, 2.4, 2.6}},
                                          {"tall", {0, 4, 0}, {9, 2.4, 5.2}}});
        EnvelopeOptions options;
        options.ground_z_m = -0.5;
        envelope = with_ground(build_envelope(model.model, model.roles, options));
        weather = design_day_weather(site, {}, 2023);
        path = sun_path(site, weather, 1200);
        const RayScene scene(envelope.blockers);
        exchange = trace_exchange(envelope, scene, {.part_size_m = part_size_m});
        sunlight = trace_sunlight(envelope, scene, path, weather, {.part_size_m = part_size_m});
        before.assign(envelope.surfaces.size(), 0.3);
        exposure = expose(envelope, site, weather, path, sunlight, exchange, before);
    }

    std::size_t n_surfaces() const { return exposure.n_surfaces; }

    static std::vector<double> sum_of(const Exposure& e) {
        std::vector<double> sum(e.direct_w_m2.size());
        for (std::size_t i = 0; i < sum.size(); ++i) {
            sum[i] = e.direct_w_m2[i] + e.sky_w_m2[i] + e.ground_w_m2[i] + e.bounced_w_m2[i];
        }
        return sum;
    }

    std::vector<double> coated(std::size_t k) const {
        std::vector<double> reflectance = before;
        reflectance[k] = 0.8;
        return sum_of(expose(envelope, site, weather, path, sunlight, exchange, reflectance));
    }

    Site site{.latitude_deg = 27, .ground_albedo = 0.4};
    Envelope envelope;
    Weather weather;
    SunPath path;
    ExchangeMatrix exchange;
    Sunlight sunlight;
    std::vector<double> before;
    Exposure exposure;
};

/// Against exposing the yard anew with the new reflectance, hour by hour: exact where every surface
/// is one part.
TEST(ReflectanceChange, EqualsExposingAnewWherePartsAreCovered) {
    const CoatedYard yard(std::numeric_limits<double>::infinity());
    const std::vector<double> base = CoatedYard::sum_of(yard.exposure);
    const std::size_t n = yard.n_surfaces();
    bool partly_covered = false;
    double most_moved = 0;
    for (std::size_t k = 0; k < n; ++k) {
        const Surface& surface = yard.envelope.surfaces[k];
        if (surface.exposed_area_m2 <= 0) continue;
        partly_covered |= surface.exposed_area_m2 < 0.9 * surface.area_m2;
        const std::vector<double> anew = yard.coated(k);
        const std::vector<double> c = coupling_of(yard.envelope, yard.exchange, yard.exposure, k);
        for (std::size_t h = 0; h < yard.weather.size(); ++h) {
            const std::size_t begin = yard.exposure.begin_of(h);
            const double lit = base[begin + k] / (1 - c[k] * 0.5);
            for (std::size_t j = 0; j < n; ++j) {
                // The bounces are solved to 1e-7 of the brightest surface.
                EXPECT_NEAR(base[begin + j] + c[j] * 0.5 * lit, anew[begin + j], 1e-3);
                most_moved = std::max(most_moved, anew[begin + j] - base[begin + j]);
            }
        }
    }
    EXPECT_TRUE(partly_covered);
    EXPECT_GT(most_moved, 10);  // a white roof below a wall is felt
}

/// With parts, the period's sums come out within 2 % of the change, in a narrow yard where much of
/// the light that a wall sends out comes back to it, spread otherwise than the light that falls on
/// it.
TEST(ReflectanceChange, KeepsThePeriodsSumsWithParts) {
    const CoatedYard yard(2.0);
    const auto sum_by_surface = [&](const std::vector<double>& hours) {
        std::vector<double> sum(yard.n_surfaces(), 0.0);
        for (std::size_t i = 0; i < hours.size(); ++i) sum[i % sum.size()] += hours[i];
        return sum;
    };
    const std::vector<double> base = sum_by_surface(CoatedYard::sum_of(yard.exposure));
    for (std::size_t k = 0; k < yard.n_surfaces(); ++k) {
        if (yard.envelope.surfaces[k].exposed_area_m2 <= 0) continue;
        const std::vector<double> anew = sum_by_surface(yard.coated(k));
        const std::vector<double> c = coupling_of(yard.envelope, yard.exchange, yard.exposure, k);
        const double lit = base[k] / (1 - c[k] * 0.5);
        for (std::size_t j = 0; j < base.size(); ++j) {
            const double moved = anew[j] - base[j];
            EXPECT_NEAR(c[j] * 0.5 * lit, moved, 0.02 * std::abs(moved) + 2e-4 * base[j])
                << yard.envelope.surfaces[k].id << " on " << yard.envelope.surfaces[j].id;
        }
    }
}

}  // namespace
}  // namespace noonshell
