// Weights found by reciprocity against solving the same cases one by one.
#include "solar/bounce_paths.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace noonshell {
namespace {

constexpr std::size_t lanes = BouncePaths::lanes;

/// A town of `n_surfaces` surfaces of 3 parts in a row, and as much ground, where parts see others
/// the less the further apart they stand.
struct Town {
    ExchangeNet net;
    LightParts parts;
    std::vector<double> reflectance, share_of_surface;
    std::size_t n_surfaces = 0;

    std::uint32_t first_ground() const { return parts.surface_begin[n_surfaces]; }
};

Town make_town(std::size_t n_surfaces, double reach) {
    constexpr std::size_t parts_in_surface = 3;
    Town town;
    town.n_surfaces = n_surfaces;
    std::mt19937 random(20260721);
    std::uniform_real_distribution<double> area(0.5, 4), bright(0.1, 0.8), some(0.2, 1);
    const std::size_t n = 2 * n_surfaces * parts_in_surface;
    SeenAreas seen(n);
    town.parts.surface_begin = {0};
    for (std::size_t p = 0; p < n; ++p) {
        seen.area_m2[p] = area(random);
        seen.n_rays[p] = 512;
        town.parts.area_m2.push_back(seen.area_m2[p]);
        town.parts.surface.emplace_back(p / parts_in_surface);
        if (p % parts_in_surface == 2) {
            town.parts.surface_begin.push_back(static_cast<std::uint32_t>(p + 1));
        }
        town.reflectance.push_back(bright(random));
        seen.sky[p] = 0.4 * seen.area_m2[p];
    }
    for (std::uint32_t i = 0; i < n; ++i) {
        for (std::uint32_t j = 0; j < n; ++j) {
            const double places = std::abs(static_cast<double>(i % (n / 2)) - (j % (n / 2)));
            if (i == j || places > 8 * reach) continue;
            const double seen_m2 = 0.3 / reach * some(random) * std::exp(-places / reach);
            seen.entries.push_back({i, j, seen_m2});
        }
    }
    town.parts.first_ground = town.first_ground();
    town.net = reciprocal_net(seen);
    // A fifth of every surface lies covered.
    for (std::size_t p = 0; p < n; ++p) {
        const std::size_t s = p / parts_in_surface;
        double all = 0;
        for (auto q = town.parts.surface_begin[s]; q < town.parts.surface_begin[s + 1]; ++q) {
            all += town.parts.area_m2[q];
        }
        town.share_of_surface.push_back(0.8 * town.parts.area_m2[p] / all);
    }
    return town;
}

std::vector<double> random_light(const Town& town) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> light(0, 900);
    std::vector<double> arriving(town.net.size() * lanes);
    for (double& value : arriving) value = light(random);
    return arriving;
}

/// Mean over each surface, [surface * lanes + case], of what nodes [begin, end) send.
std::vector<double> solved_one_by_one(const Town& town, const BounceSolver& solver,
                                      const std::vector<double>& arriving, std::uint32_t begin,
                                      std::uint32_t end) {
    std::vector<double> leaving(arriving.size()), thrown(arriving.size());
    solver.solve(arriving, leaving);
    solver.gather(leaving, begin, end, thrown);
    std::vector<double> mean(town.n_surfaces * lanes, 0.0);
    for (std::size_t p = 0; p < town.first_ground(); ++p) {
        const std::size_t s = town.parts.surface[p].index();
        for (std::size_t k = 0; k < lanes; ++k) {
            mean[s * lanes + k] += town.share_of_surface[p] * thrown[p * lanes + k];
        }
    }
    return mean;
}

struct Thrown {
    std::vector<double> from_surfaces, from_ground;
    double neglected = 0;
};

Thrown by_paths(const Town& town, const BounceSolver& solver, const std::vector<double>& arriving,
                const BouncePathOptions& options) {
    const BouncePaths paths(town.net, town.parts, solver, town.reflectance, town.share_of_surface,
                            town.n_surfaces, options);
    Thrown thrown{std::vector<double>(town.n_surfaces * lanes),
                  std::vector<double>(town.n_surfaces * lanes), paths.neglected()};
    paths.gather(arriving, thrown.from_surfaces, thrown.from_ground);
    return thrown;
}

// 11 surfaces fill one block of eight and part of a second.
TEST(BouncePaths, GiveWhatSolvingCaseByCaseGives) {
    const Town town = make_town(11, 4);
    const BounceSolver solver(town.net, town.reflectance, {.tolerance = 1e-13});
    const std::vector<double> arriving = random_light(town);
    const Thrown thrown = by_paths(town, solver, arriving, {.neglected = 0});
    const auto n = static_cast<std::uint32_t>(town.net.size());
    const auto surfaces = solved_one_by_one(town, solver, arriving, 0, town.first_ground());
    const auto ground = solved_one_by_one(town, solver, arriving, town.first_ground(), n);
    for (std::size_t i = 0; i < surfaces.size(); ++i) {
        EXPECT_NEAR(thrown.from_surfaces[i] / surfaces[i], 1, 1e-10);
        EXPECT_NEAR(thrown.from_ground[i] / ground[i], 1, 1e-10);
    }
    EXPECT_GT(*std::min_element(surfaces.begin(), surfaces.end()), 1);
}

// In a long town far parts may be left out; what is missing stays below what is said of it. The
// light is even, as the bound takes it.
TEST(BouncePaths, LeaveOutNoMoreThanTheySay) {
    const Town town = make_town(200, 3);
    const BounceSolver solver(town.net, town.reflectance, {.tolerance = 1e-13});
    const std::vector<double> arriving(town.net.size() * lanes, 500.0);
    const Thrown all = by_paths(town, solver, arriving, {.neglected = 0});
    const Thrown near = by_paths(town, solver, arriving, {.neglected = 1e-3});
    EXPECT_LE(near.neglected, 1.5e-3);
    EXPECT_GT(near.neglected, 1e-4);
    for (std::size_t s = 0; s < town.n_surfaces; s += 8) {
        // Said of the eight surfaces of a block together.
        double whole = 0, missing = 0;
        for (std::size_t k = s; k < std::min(s + 8, town.n_surfaces); ++k) {
            whole += all.from_surfaces[k * lanes] + all.from_ground[k * lanes];
            missing += all.from_surfaces[k * lanes] - near.from_surfaces[k * lanes] +
                       all.from_ground[k * lanes] - near.from_ground[k * lanes];
        }
        EXPECT_GE(missing, -1e-9 * whole);
        EXPECT_LE(missing, 1.5 * near.neglected * whole);
    }
}

TEST(BouncePaths, RepeatToTheBitAtAnyThreadCount) {
    const Town town = make_town(40, 3);
    const BounceSolver solver(town.net, town.reflectance);
    const std::vector<double> arriving = random_light(town);
    const Thrown one = by_paths(town, solver, arriving, {.threads = 1});
    const Thrown two = by_paths(town, solver, arriving, {.threads = 2});
    EXPECT_EQ(one.from_surfaces, two.from_surfaces);
    EXPECT_EQ(one.from_ground, two.from_ground);
}

}  // namespace
}  // namespace noonshell
