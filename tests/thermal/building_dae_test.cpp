// The heat run against IDA of SUNDIALS (Hindmarsh and others, 2005), a general integrator of
// differential and algebraic equations with controlled error, on the same equations: ten days of
// three units side by side with a wall between rooms, a floor on the ground, bare steel, outside
// insulation and a vented cladding.
#include "tests/support/building_dae.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr std::size_t ten_days_h = 240;

/// The row free running, its middle unit wrapped, the right one's roof clad.
Row mixed_row(double step_s) {
    Row row(step_s);
    row.exposure = exposure_of(row.envelope, ten_days_h, light_at);
    row.around = surroundings_of(ten_days_h, step_s, 8, air_at, 18, 8);
    for (RoomSettings& room : row.building.rooms) room.cooled = room.heated = false;
    for (std::size_t s = 6; s < 12; ++s) {
        Construction& c = row.building.exposed[s];
        c.layers.insert(c.layers.begin(),
                        {{"foam", 0.035, 30, 1400, "invented"}, 0.05, std::nullopt});
    }
    // Where the gap of a cladding runs: level under the roof, up the wall.
    row.envelope.surfaces[12].normal = Vec3(0, 0, 1);
    Surface& east = row.envelope.surfaces[12 + 2];
    east.normal = Vec3(1, 0, 0);
    east.first_facet = 0;
    east.n_facets = 1;
    row.envelope.facets.triangle_begin = {0, 1};
    row.envelope.facets.triangles_m = {{Vec3(0, 0, 0), Vec3(0, 2.438, 0), Vec3(0, 0, 2.591)}};
    VentedCladding cladding;
    cladding.sheet = {{"steel", 50, 7800, 450, "invented"}, 0.0006, std::nullopt};
    row.building.exposed[12].cladding = cladding;
    row.building.exposed[12 + 2].cladding = cladding;
    return row;
}

/// The same in a wind that every face takes at its own height: the left unit on the ground, the
/// others 9 m and 18 m up; its six sides from plaster to stucco.
Row windy_row(double step_s) {
    Row row = mixed_row(step_s);
    row.envelope.ground_z_m = -0.5;
    for (std::size_t s = 0; s < row.envelope.surfaces.size(); ++s) {
        const std::size_t side = s % 6;  // roof, four walls, floor
        const double up_m = side == 0 ? 2.591 : (side == 5 ? 0.0 : 2.591 / 2);
        row.envelope.surfaces[s].centroid_m =
            Vec3(0, 0, up_m - 0.5 + 9 * static_cast<double>(s / 6));
        row.building.exposed[s].roughness = static_cast<Roughness>(side);
    }
    for (std::size_t h = 0; h < ten_days_h; ++h) {
        row.around.wind_m_s.push_back(3 + 2 * std::sin(0.7 * static_cast<double>(h)));
        row.around.wind_from_deg.push_back(15 * static_cast<double>(h % 24));
    }
    row.around.wind_by_height = Terrain::open;
    return row;
}

/// Largest difference of an hour's mean room air from the second day on [K]; both begin from the
/// same even temperature.
double worst_k(const Row& row) {
    HeatOptions options;
    options.warm_up_days = 0;
    const Response response = simulate(row.inputs(), row.building, options);
    double worst = 0;
    BuildingDae dae(row.inputs(), row.building);
    dae.run(ten_days_h, 1e-4, [&](std::size_t hour, std::span<const double> air_c) {
        if (hour < 24) return;
        for (std::size_t u = 0; u < air_c.size(); ++u) {
            const auto found = static_cast<double>(response.air_c[hour * air_c.size() + u]);
            worst = std::max(worst, std::abs(air_c[u] - found));
        }
    });
    return worst;
}

TEST(BuildingDae, TenDaysAgreeWithin20MillikelvinAtSmallSteps) {
    const double at_600_s = worst_k(mixed_row(600)), at_60_s = worst_k(mixed_row(60));
    RecordProperty("worst_k_600_s", std::to_string(at_600_s));
    RecordProperty("worst_k_60_s", std::to_string(at_60_s));
    std::printf("worst hour: %.4f K with steps of 600 s, %.4f K with 60 s\n", at_600_s, at_60_s);
    EXPECT_LT(at_60_s, 0.005);
    EXPECT_LT(at_600_s, 0.05);
}

TEST(BuildingDae, AgreesWhereFacesDifferInHeightAndRoughness) {
    // Wind that jumps by the hour comes half a step late: 0.2 K with steps of 600 s.
    EXPECT_LT(worst_k(windy_row(60)), 0.03);
    const Row row = windy_row(600);
    // And the two matter: in the wind at 10 m on smooth faces rooms have other temperatures.
    Row plain = row;
    plain.around.wind_by_height.reset();
    for (std::size_t h = 0; h < ten_days_h; ++h) {
        const auto forced = [&](WindSide side) {
            return forced_convection_w_m2k(plain.around.convection, plain.around.wind_m_s[h], side);
        };
        plain.around.forced_windward_w_m2k[h] = forced(WindSide::windward);
        plain.around.forced_leeward_w_m2k[h] = forced(WindSide::leeward);
        plain.around.forced_unknown_w_m2k[h] = forced(WindSide::unknown);
    }
    for (Construction& c : plain.building.exposed) c.roughness = Roughness::very_smooth;
    const Response with = simulate(row.inputs(), row.building),
                   without = simulate(plain.inputs(), plain.building);
    double largest_k = 0;
    for (std::size_t i = 0; i < with.air_c.size(); ++i)
        largest_k = std::max(largest_k, std::abs(static_cast<double>(with.air_c[i]) -
                                                 static_cast<double>(without.air_c[i])));
    EXPECT_GT(largest_k, 0.5);
}

}  // namespace
}  // namespace noonshell
