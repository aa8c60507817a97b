#include "thermal/handbook_day.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <numbers>

#include "solar/daily_profile.hpp"
#include "tests/support/hand_building.hpp"

namespace noonshell {
namespace {

using namespace test_models;
using namespace std::chrono;

/// A year of invented weather on the meridian of its clock: July hottest, a day's swing of 14 K,
/// the sun of 20 July a tenth above that of all other days.
struct InventedYear {
    Site site;
    Weather weather;
    std::vector<std::uint8_t> month;

    InventedYear() {
        site.longitude_deg = 0;
        const sys_days begin = 2023y / January / 1;
        for (std::size_t h = 0; h < 8760; ++h) {
            const auto start = begin + hours(h);
            const year_month_day date(floor<days>(start));
            const double of_year = static_cast<double>(h) / 8760;
            const double hour = static_cast<double>(h % 24) + 1;
            weather.hour_start_utc.push_back(start);
            weather.dry_bulb_c.push_back(25 -
                                         12 * std::cos(2 * std::numbers::pi * (of_year - 0.04)) -
                                         7 * std::cos(2 * std::numbers::pi * (hour - 3) / 24));
            weather.dew_point_c.push_back(8);
            weather.wind_speed_m_s.push_back(4);
            weather.pressure_pa.push_back(101325);
            const double sun = std::max(0.0, std::sin(std::numbers::pi * (hour - 6.5) / 12));
            const double bright = date == 2023y / July / 20 ? 1.1 : 1.0;
            weather.global_w_m2.push_back(900 * bright * sun);
            weather.direct_normal_w_m2.push_back(700 * bright * (sun > 0 ? 1 : 0));
            weather.diffuse_w_m2.push_back(120 * sun);
            month.push_back(static_cast<std::uint8_t>(unsigned(date.month()) - 1));
        }
    }
};

// [ashrae2021] ch. 14: 0.4 % of 8760 hours are 35; table 6 takes nothing off at 14 and 15 h solar
// time and the whole range at 5 h.
TEST(HandbookDay, IsMadeFromTheYearAsTheChapterSays) {
    const InventedYear year;
    const auto day = handbook_day(year.site, year.weather, year.month);
    ASSERT_TRUE(day);
    const auto above = std::count_if(year.weather.dry_bulb_c.begin(), year.weather.dry_bulb_c.end(),
                                     [&](double c) { return c > day->peak_dry_bulb_c; });
    EXPECT_EQ(above, 35);
    EXPECT_NEAR(day->daily_range_k, 14, 0.15);
    EXPECT_NEAR(day->dew_point_c, 8, 1e-12);
    EXPECT_NEAR(day->wind_m_s, 4, 1e-12);
    EXPECT_EQ(day->first_hour, (31 + 28 + 31 + 30 + 31 + 30 + 19) * 24u);
    ASSERT_EQ(day->weather.size(), 24u);
    EXPECT_TRUE(day->weather.periodic);
    const auto [low, high] =
        std::minmax_element(day->weather.dry_bulb_c.begin(), day->weather.dry_bulb_c.end());
    EXPECT_NEAR(*high, day->peak_dry_bulb_c, 0.02 * day->daily_range_k);
    EXPECT_NEAR(*low, day->peak_dry_bulb_c - day->daily_range_k, 0.02 * day->daily_range_k);
    EXPECT_EQ(low - day->weather.dry_bulb_c.begin(), 4);  // the hour that ends at 5
    EXPECT_NEAR(day->weather.global_w_m2[12], 1.1 * 900, 10);
}

TEST(HandbookDay, WantsAWholeYear) {
    InventedYear year;
    for (auto* list : {&year.weather.dry_bulb_c, &year.weather.dew_point_c}) list->resize(8000);
    year.weather.hour_start_utc.resize(8000);
    year.month.resize(8000);
    EXPECT_FALSE(handbook_day(year.site, year.weather, year.month));
}

// A box that nothing but its leaks couples to the outdoors: the largest sensible load is that of
// the air at its hottest, rho cp V n (T - set-point), by hand.
TEST(HandbookDay, LoadOfLeaksAlone) {
    const InventedYear year;
    const auto day = handbook_day(year.site, year.weather, year.month);
    ASSERT_TRUE(day);
    Envelope envelope;
    add_free_unit(envelope, "room", {6, 2.4, 2.6});
    const ExchangeMatrix exchange = free_exchange(envelope);
    const Exposure exposure =
        exposure_of(envelope, 8760, [](std::size_t, const Surface&) { return 0.0; });
    const Surroundings around = make_surroundings(year.site, year.weather, {.step_s = 600});
    Construction tight = sheet_of(0.5, 0.0003, 30, 10);
    tight.outside_absorptance = 0;
    Building building = bare_building(envelope, tight);
    building.rooms[0].cooled = true;
    building.rooms[0].cooling_set_point_c = 26;
    building.rooms[0].leakage.air_change_per_h = 2;
    building.rooms[0].plant.rated_capacity_w = 10;  // the size is asked for, not given
    const auto loads = design_loads({envelope, exchange, exposure, around}, building, year.site,
                                    *day, {.step_s = 600}, {});
    ASSERT_EQ(loads.size(), 1u);
    const double peak_c =
        *std::max_element(day->weather.dry_bulb_c.begin(), day->weather.dry_bulb_c.end());
    const double density = 101325 / (287.05 * (peak_c + 273.15));
    const double by_hand = density * 1006 * 6 * 2.4 * 2.6 * 2 / 3600 * (peak_c - 26);
    EXPECT_NEAR(loads[0].total_w, by_hand, 0.03 * by_hand);
    EXPECT_EQ(loads[0].latent_w, 0);  // a dew point of 8 C is drier than the coil
    EXPECT_GT(loads[0].needed_capacity_w, 0.9 * by_hand);

    // People on one day of the week alone, whichever it is: the size is for that day.
    building.rooms[0].gains_radiant_share = 0;
    for (std::size_t weekday = 0; weekday < 7; ++weekday) {
        building.rooms[0].gains_w_m2 = {};
        std::array<double, 24> busy{};
        busy.fill(20);
        set_day(building.rooms[0].gains_w_m2, weekday, busy);
        const auto with_people = design_loads({envelope, exchange, exposure, around}, building,
                                              year.site, *day, {.step_s = 600}, {});
        EXPECT_NEAR(with_people[0].total_w, loads[0].total_w + 20 * 6 * 2.4, 3)
            << "day " << weekday;
    }
}

/// A box of insulated walls with its floor on the ground or on piers, cooled to 25 C.
struct InsulatedBox {
    InventedYear year;
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure light;
    Surroundings around = make_surroundings(year.site, year.weather, {.step_s = 3600});
    Building building;

    InsulatedBox(bool on_ground, double wall_m2k_w, double floor_m2k_w) {
        add_free_unit(envelope, "room", {6, 2.4, 2.6});
        if (on_ground) {
            envelope.contacts.push_back({SurfaceId(5), SurfaceId(), 6 * 2.4, 0});
            envelope.surfaces[5].exposed_area_m2 = 0;
        }
        exchange = free_exchange(envelope);
        light = exposure_of(envelope, 8760, [](std::size_t, const Surface&) { return 0.0; });
        Construction wall = sheet_of(0.01, 0.01 / wall_m2k_w, 30, 1400);
        building = bare_building(envelope, wall);
        building.covered[5] = sheet_of(0.01, 0.01 / floor_m2k_w, 30, 1400);
        building.rooms[0].cooled = true;
        building.rooms[0].cooling_set_point_c = 25;
    }
    HeatInputs inputs() const { return {envelope, exchange, light, around}; }
    double design_w() const {
        const auto day = handbook_day(year.site, year.weather, year.month);
        return design_loads(inputs(), building, year.site, *day, {.step_s = 3600}, {})[0].total_w;
    }
};

// The day's own mean would make the ground under the slab as warm as the hottest days.
TEST(HandbookDay, StandsBesideTheYearOnTheGroundAsOnPiers) {
    for (const bool on_ground : {false, true}) {
        InsulatedBox box(on_ground, 3, 0.3);
        const double year_w = simulate(box.inputs(), box.building).peak_load_w[0].value;
        EXPECT_GT(year_w, 50);
        EXPECT_NEAR(box.design_w(), year_w, 0.12 * year_w) << on_ground;
    }
}

// Walls that let nothing through, a yearly mean of 35 C: the load is that of the floor, A (35 -
// 25) / R from the deep ground to the room. The soil by [iso13370]: B' = 14.4 / 8.4 m and so on,
// of little weight beside the floor's 20 m2 K/W.
TEST(HandbookDay, SteadyLoadOfAFloorOnTheGround) {
    InsulatedBox box(true, 1e5, 20);
    box.around.deep_ground_c = 35;
    const double characteristic_m = 6 * 2.4 / (0.5 * 2 * (6 + 2.4));
    const double soil_w_mk = 2.0, films_and_floor_m = soil_w_mk * (20 + 0.17 + 0.04);
    const double u_w_m2k = soil_w_mk / (0.457 * characteristic_m + films_and_floor_m);
    const double by_hand_w = 6 * 2.4 * u_w_m2k * 10;
    EXPECT_NEAR(box.design_w(), by_hand_w, 0.02 * by_hand_w);
}

TEST(HandbookDay, SizesToBuy) {
    EXPECT_EQ(plant_to_buy_w(0), 0);
    EXPECT_EQ(plant_to_buy_w(1200), 2000);
    EXPECT_EQ(plant_to_buy_w(2600), 2600);
    EXPECT_EQ(plant_to_buy_w(3501), 5300);
    EXPECT_EQ(plant_to_buy_w(14000), 14000);
    // Above the largest size: as many of it as it takes, and the smallest that does for the rest.
    EXPECT_EQ(plants_to_buy_w(15000), (std::vector<double>{14000, 2000}));
    EXPECT_EQ(plants_to_buy_w(28000), (std::vector<double>{14000, 14000}));
    EXPECT_EQ(plants_to_buy_w(28400), (std::vector<double>{14000, 14000, 2000}));
    EXPECT_EQ(plants_to_buy_w(36000), (std::vector<double>{14000, 14000, 8800}));
    EXPECT_EQ(plant_to_buy_w(28400), 30000);
    EXPECT_TRUE(plants_to_buy_w(0).empty());
    for (double needed_w = 100; needed_w < 60000; needed_w += 137) {
        EXPECT_GE(plant_to_buy_w(needed_w), needed_w);
        EXPECT_LE(plant_to_buy_w(needed_w), needed_w + 3500)
            << needed_w;  // the widest step of the list
    }
}

}  // namespace
}  // namespace noonshell
