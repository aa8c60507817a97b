// A run of a part of a building in which nothing is changed is the run of the whole, as far as it
// goes: with walls, doorways, vapour and longwave between what is run and what is given.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// The row with open doors, people in it, humid air outdoors and roofs that see each other a
/// little.
struct LinkedRow : Row {
    LinkedRow() {
        around.humidity_kg_kg.clear();
        for (std::size_t h = 0; h < n_hours; ++h)
            around.humidity_kg_kg.push_back(0.010 + 0.004 * std::sin(0.1 * static_cast<double>(h)));
        for (RoomSettings& room : building.rooms) room.moisture_kg_hm2.fill(0.02);
        building.doorways = {{.a = UnitId(0), .b = UnitId(1)}, {.a = UnitId(1), .b = UnitId(2)}};
        ExchangeNet& net = exchange.surfaces;
        net.column.clear();
        net.share.clear();
        net.row_begin = {0};
        for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
            for (std::size_t other = 0; other < envelope.surfaces.size(); ++other) {
                const bool roofs = envelope.surfaces[s].kind == SurfaceKind::roof &&
                                   envelope.surfaces[other].kind == SurfaceKind::roof;
                if (!roofs || other == s) continue;
                net.column.push_back(static_cast<std::uint32_t>(other));
                net.share.push_back(0.2);
                net.sky_share[s] -= 0.2;
            }
            net.row_begin.push_back(static_cast<std::uint32_t>(net.column.size()));
        }
    }
};

TEST(PartRun, WithoutAChangeIsTheRunOfTheWhole) {
    const LinkedRow row;
    Trace trace;
    const Response whole = simulate(row.inputs(), row.building, {}, &trace);
    const ActivePart part{{1, 1, 0}, std::vector<std::uint8_t>(row.envelope.surfaces.size(), 0)};
    const Response found = simulate_part(row.inputs(), row.building, {}, part, trace, {});
    for (std::size_t u = 0; u < 2; ++u) {
        ASSERT_GT(whole.latent_j[u], 0);
        EXPECT_NEAR(found.cooling_j[u] / whole.cooling_j[u], 1, 1e-6) << u;
        EXPECT_NEAR(found.latent_j[u] / whole.latent_j[u], 1, 1e-5) << u;
        EXPECT_NEAR(found.peak_cooling_w[u].value, whole.peak_cooling_w[u].value, 0.01) << u;
        EXPECT_NEAR(found.room_balance[u].doorways_j / whole.room_balance[u].doorways_j, 1, 1e-5)
            << u;
    }
    for (const SurfaceId s : row.envelope.units[0].surfaces) {
        EXPECT_NEAR(found.inward_j[s.index()], whole.inward_j[s.index()],
                    1e-5 * std::abs(whole.inward_j[s.index()]) + 1)
            << s.index();
    }
    EXPECT_EQ(found.cooling_j[2], 0);
}

/// A change in the part is felt there as in a run of the whole, though the rest stays as it was:
/// within what the rest, a room away, would have moved.
TEST(PartRun, FollowsAChangeOfItsOwn) {
    const LinkedRow row;
    Trace trace;
    const Response before = simulate(row.inputs(), row.building, {}, &trace);
    LinkedRow changed;
    changed.building.exposed[0].outside_absorptance = 0.2;
    const Response whole = simulate(row.inputs(), changed.building);
    const ActivePart part{{1, 1, 0}, std::vector<std::uint8_t>(row.envelope.surfaces.size(), 0)};
    const Response found = simulate_part(row.inputs(), changed.building, {}, part, trace, {});
    const double saved = before.cooling_j[0] - whole.cooling_j[0];
    ASSERT_GT(saved, 0.1 * before.cooling_j[0]);
    EXPECT_NEAR(before.cooling_j[0] - found.cooling_j[0], saved, 0.01 * saved);
}

}  // namespace
}  // namespace noonshell
