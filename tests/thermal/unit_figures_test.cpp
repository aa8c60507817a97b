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

// A period that is not whole days long: the part-day at the end stands after the same days as the
// first, since the period repeats ([en16798] counts days before); of less than a day its own mean
// is all that there is. Lines of [en16798] from memory.
TEST(UnitFigures, APartDayHasALimitOfItsOwn) {
    const auto limit = [](double running_c) { return 0.33 * running_c + 18.8 + 3; };
    Weather weather;
    for (std::size_t h = 0; h < 61; ++h) {
        const double c = h < 24 ? 20 : h < 48 ? 26 : 40;
        weather.dry_bulb_c.push_back(c);
        weather.hour_start_utc.push_back(std::chrono::sys_seconds{std::chrono::hours(h)});
    }
    const auto limits = adaptive_limits_c(weather, AdaptiveModel::en_16798_category_2);
    ASSERT_EQ(limits.size(), 3u);
    // (26 + 0.8 20) / 1.8 before the first day, (20 + 0.8 26) / 1.8 before the second.
    EXPECT_NEAR(limits[0], limit(42 / 1.8), 1e-9);
    EXPECT_NEAR(limits[1], limit(40.8 / 1.8), 1e-9);
    EXPECT_EQ(limits[2], limits[0]);
    weather.dry_bulb_c.assign({20, 25, 27});
    weather.hour_start_utc.resize(3);
    const auto short_one = adaptive_limits_c(weather, AdaptiveModel::en_16798_category_2);
    ASSERT_EQ(short_one.size(), 1u);
    EXPECT_NEAR(short_one[0], limit(24), 1e-9);
    // Every hour has a limit: 0.33 24 + 21.8 = 29.72.
    const std::vector<float> room{29, 30, 31};
    EXPECT_EQ(time_too_hot(room, 1, 0, short_one).hours_h, 2);
}

}  // namespace
}  // namespace noonshell
