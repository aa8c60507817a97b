// Electricity and comfort figures from two runs.
#include "thermal/unit_figures.hpp"

#include <gtest/gtest.h>

#include "tests/support/row_of_units.hpp"

namespace noonshell {
namespace {

using namespace test_models;

TEST(UnitFigures, ElectricityIsHeatOverEfficiency) {
    Row row;
    for (RoomSettings& room : row.building.rooms) {
        room.plant.rated_efficiency = 4;
        room.plant.efficiency_falls_per_k = 0;
        room.heating_efficiency = 2;
    }
    const Response with = simulate(row.inputs(), row.building);
    const Response free = simulate(row.inputs(), free_running(row.building));
    const auto figures =
        unit_figures(with, free, weather_of_row(), AdaptiveModel::en_16798_category_2);
    ASSERT_EQ(figures.size(), 3u);
    for (std::size_t u = 0; u < 3; ++u) {
        const double expected_j = with.cooling_j[u] / 4 + with.heating_j[u] / 2;
        EXPECT_NEAR(figures[u].electricity_j, expected_j, 1e-12 * expected_j);
    }
}

/// Too hot counts the run without cooling, whatever the plant holds: mean 33 C is beyond the range
/// of the adaptive model, whose limit then stays at 0.33 * 30 + 18.8 + 3 = 31.7 C ([en16798], from
/// memory).
TEST(UnitFigures, TooHotIsCountedWithoutCooling) {
    const Row row;
    const Response with = simulate(row.inputs(), row.building);
    const Response free = simulate(row.inputs(), free_running(row.building));
    const auto figures =
        unit_figures(with, free, weather_of_row(), AdaptiveModel::en_16798_category_2);
    for (std::size_t u = 0; u < 3; ++u) {
        double hours = 0, degree_hours = 0;
        for (std::size_t h = 0; h < n_hours; ++h) {
            const double excess = static_cast<double>(free.operative_c[h * 3 + u]) - 31.7;
            if (excess > 0) {
                hours += 1;
                degree_hours += excess;
            }
        }
        EXPECT_GT(hours, 10);
        EXPECT_DOUBLE_EQ(figures[u].hours_too_hot_h, hours);
        EXPECT_NEAR(figures[u].too_hot_kh, degree_hours, 1e-3 * degree_hours);
        EXPECT_GT(figures[u].peak_free_air_c.value, 35);
        EXPECT_EQ(free.cooling_j[u], 0);
    }
}

}  // namespace
}  // namespace noonshell
