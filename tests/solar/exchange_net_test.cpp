// Nets of exchange from counts made by hand.
#include "solar/exchange_net.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

namespace noonshell {
namespace {

double share(const ExchangeNet& net, std::size_t from, std::size_t to) {
    for (auto e = net.row_begin[from]; e < net.row_begin[from + 1]; ++e) {
        if (net.column[e] == to) return net.share[e];
    }
    return 0;
}

double row_sum(const ExchangeNet& net, std::size_t i) {
    return net.share_of_nodes(i) + net.sky_share[i] + net.ground_share[i] + net.context_share[i];
}

/// Two nodes of 2 and 3 m2 that see each other and the sky.
SeenAreas pair_of_nodes(double there_m2, double back_m2, double rays, double rays_back) {
    SeenAreas seen(2);
    seen.area_m2 = {2, 3};
    seen.n_rays = {rays, rays_back};
    seen.sky = {2 - there_m2, 3 - back_m2};
    seen.entries = {{0, 1, there_m2}, {1, 0, back_m2}};
    return seen;
}

// Two counts of one area are averaged by rays per area: 1000 rays on 2 m2 against 500 on 3 m2 is
// 500 to 166.7, weights 3/4 and 1/4. Nodes that see mostly sky are not scaled further.
TEST(ExchangeNet, BothWaysOfCountingAreWeighedByTheirRays) {
    const ExchangeNet net = reciprocal_net(pair_of_nodes(0.4, 0.6, 1000, 500));
    EXPECT_NEAR(2 * share(net, 0, 1), 0.75 * 0.4 + 0.25 * 0.6, 1e-12);
    EXPECT_NEAR(2 * share(net, 0, 1), 3 * share(net, 1, 0), 1e-12);
    EXPECT_NEAR(net.sky_share[0], 0.8, 1e-12);
    EXPECT_NEAR(net.sky_share[1], 0.8, 1e-12);
    // The change: 0.45 for 0.4 of 2 m2, and 0.45 for 0.6 of 3 m2.
    EXPECT_NEAR(largest_change(net, pair_of_nodes(0.4, 0.6, 1000, 500)), 0.15 / 3, 1e-12);
}

TEST(ExchangeNet, RepeatedEntriesAddUp) {
    SeenAreas seen = pair_of_nodes(0.5, 0.5, 100, 150);
    seen.entries = {{1, 0, 0.2}, {0, 1, 0.25}, {1, 0, 0.3}, {0, 1, 0.25}};
    const ExchangeNet net = reciprocal_net(seen);
    EXPECT_EQ(net.share.size(), 2u);
    EXPECT_NEAR(share(net, 0, 1), 0.25, 1e-12);
    EXPECT_NEAR(share(net, 1, 0), 0.5 / 3, 1e-12);
    EXPECT_NEAR(largest_change(net, seen), 0, 1e-12);
}

// A closed room of three faces: whatever the noise of the counts, rows close and both ways agree.
TEST(ExchangeNet, RowsOfAClosedRoomSumToOne) {
    SeenAreas seen(3);
    seen.area_m2 = {1, 2, 1.5};
    seen.n_rays = {256, 256, 256};
    // From A F of 0.75, 0.25, 1.25 m2 with errors of a few per cent; each row is complete.
    seen.entries = {{0, 1, 0.77}, {0, 2, 0.23}, {1, 0, 0.72},
                    {1, 2, 1.28}, {2, 0, 0.26}, {2, 1, 1.24}};
    const ExchangeNet net = reciprocal_net(seen);
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_NEAR(row_sum(net, i), 1, 1e-9) << i;
        for (std::size_t j = 0; j < 3; ++j) {
            EXPECT_NEAR(seen.area_m2[i] * share(net, i, j), seen.area_m2[j] * share(net, j, i),
                        1e-12);
        }
    }
    // Three faces of a closed room leave no choice: A1 F12 = (A1 + A2 - A3) / 2 (textbook rule for
    // enclosures of three flat faces).
    EXPECT_NEAR(share(net, 0, 1), 0.75, 1e-6);
    EXPECT_NEAR(share(net, 0, 2), 0.25, 1e-6);
    EXPECT_NEAR(2 * share(net, 1, 2), 1.25, 1e-6);
}

TEST(ExchangeNet, NoRowSendsOutMoreThanAll) {
    SeenAreas seen(2);  // the small one is seen by far more rays of the large one than fit
    seen.area_m2 = {1, 10};
    seen.n_rays = {64, 64'000};
    seen.sky = {0.3, 8.5};  // it sees too much sky to be closed
    seen.entries = {{0, 1, 0.7}, {1, 0, 1.5}};
    const ExchangeNet net = reciprocal_net(seen);
    EXPECT_LE(net.share_of_nodes(0), 1 + 1e-9);
    EXPECT_NEAR(share(net, 0, 1), 10 * share(net, 1, 0), 1e-12);
}

TEST(ExchangeNet, NodesWithoutAreaStayEmpty) {
    SeenAreas seen(3);
    seen.area_m2 = {2, 0, 3};
    seen.n_rays = {100, 0, 150};
    seen.sky = {1.5, 0, 2.5};
    seen.entries = {{0, 2, 0.5}, {2, 0, 0.5}};
    const ExchangeNet net = reciprocal_net(seen);
    EXPECT_EQ(net.row_begin, (std::vector<std::uint32_t>{0, 1, 1, 2}));
    EXPECT_EQ(row_sum(net, 1), 0);
    EXPECT_NEAR(share(net, 0, 2), 0.25, 1e-12);
}

/// Nodes 0 and 1 of one surface, 2 of another, 3 of the ground.
SeenAreas four_parts() {
    SeenAreas seen(4);
    seen.area_m2 = {1, 3, 2, 5};
    seen.n_rays = {100, 300, 200, 500};
    seen.sky = {0.3, 1.2, 1.1, 4.0};
    seen.horizon = {0.5, 0.9, 0.2, 0};
    seen.ground = {0.2, 0.8, 0.3, 0};
    seen.context = {0.1, 0.1, 0, 0};
    seen.entries = {{0, 2, 0.2}, {2, 0, 0.2}, {1, 2, 0.1}, {2, 1, 0.1}, {0, 3, 0.2},
                    {3, 0, 0.2}, {1, 3, 0.8}, {3, 1, 0.8}, {2, 3, 0.3}, {3, 2, 0.3}};
    return seen;
}

// Joined by area; the ground's part falls to the ground.
TEST(ExchangeNet, JoinedNodesAreMeansByArea) {
    const SeenAreas seen = four_parts();
    const std::array<std::uint32_t, 4> group{0, 0, 1, 2};
    const ExchangeNet net = joined_nodes(reciprocal_net(seen), {group, 2, 2});
    ASSERT_EQ(net.size(), 2u);
    EXPECT_NEAR(net.area_m2[0], 4, 1e-12);
    EXPECT_NEAR(share(net, 0, 1), 0.3 / 4, 1e-12);
    EXPECT_NEAR(share(net, 1, 0), 0.3 / 2, 1e-12);
    EXPECT_NEAR(net.sky_share[0], 1.5 / 4, 1e-12);
    EXPECT_NEAR(net.horizon_share[0], 1.4 / 4, 1e-12);
    EXPECT_NEAR(net.ground_share[0], (1.0 + 1.0) / 4, 1e-12);
    EXPECT_NEAR(net.context_share[0], 0.2 / 4, 1e-12);
    EXPECT_NEAR(net.ground_share[1], (0.3 + 0.3) / 2, 1e-12);
    for (std::size_t g = 0; g < 2; ++g) EXPECT_NEAR(row_sum(net, g), 1, 1e-12);

    const SeenAreas joined = joined_nodes(seen, {group, 2, 2});
    EXPECT_EQ(joined.area_m2, (std::vector<double>{4, 2}));
    EXPECT_EQ(joined.n_rays, (std::vector<double>{400, 200}));
    EXPECT_NEAR(joined.ground[0], 2.0, 1e-12);
    EXPECT_NEAR(joined.ground[1], 0.6, 1e-12);
    EXPECT_NEAR(largest_change(net, joined), 0, 1e-12);
}

// The same with the second surface as one of the bodies around.
TEST(ExchangeNet, GroupsBeforeTheGroundJoinTheContext) {
    const SeenAreas seen = four_parts();
    const std::array<std::uint32_t, 4> group{0, 0, 1, 2};
    const ExchangeNet net = joined_nodes(reciprocal_net(seen), {group, 1, 2});
    ASSERT_EQ(net.size(), 1u);
    EXPECT_NEAR(net.context_share[0], (0.2 + 0.3) / 4, 1e-12);
    EXPECT_NEAR(net.ground_share[0], (1.0 + 1.0) / 4, 1e-12);
    EXPECT_NEAR(row_sum(net, 0), 1, 1e-12);
    EXPECT_NEAR(largest_change(net, joined_nodes(seen, {group, 1, 2})), 0, 1e-12);
}

}  // namespace
}  // namespace noonshell
