// Wind on site by terrain and height.
#include "thermal/terrain.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "thermal/surroundings.hpp"

namespace noonshell {
namespace {

// [ashrae2021] ch. 24, by hand with table 1 (from memory): 10 m/s at a station in open country are
// 10 (270/10)^0.14 (15/370)^0.22 = 7.84 m/s at 15 m in a suburb.
TEST(Terrain, WindInASuburbIsThatOfTheHandbook) {
    EXPECT_NEAR(10 * wind_over_that_of_a_station(Terrain::suburban, 15), 7.84, 0.005);
}

// The same by hand at faces: (2.5/10)^0.14 in open country, 27^0.14 (5/370)^0.22 in a suburb; below
// 1 m as at 1 m.
TEST(Terrain, WindByAFaceIsThatAtItsHeight) {
    EXPECT_NEAR(wind_by_face_over_that_of_a_station(Terrain::open, 2.5), 0.8236, 5e-5);
    EXPECT_NEAR(wind_by_face_over_that_of_a_station(Terrain::suburban, 5), 0.6154, 5e-5);
    for (const double height_m : {-3.0, 0.0, 0.4, 1.0})
        EXPECT_NEAR(wind_by_face_over_that_of_a_station(Terrain::open, height_m), 0.7244, 5e-5)
            << height_m;
    // A tenth of a millimetre of a model's rounding makes no other wind.
    EXPECT_EQ(wind_by_face_over_that_of_a_station(Terrain::open, 2.5951),
              wind_by_face_over_that_of_a_station(Terrain::open, 2.5952));
}

TEST(Terrain, AStationIsItselfAndRoughLandSlowsTheWind) {
    EXPECT_NEAR(wind_over_that_of_a_station(Terrain::open, wind_height_m), 1, 1e-12);
    const double suburb = wind_over_that_of_a_station(Terrain::suburban, wind_height_m);
    const double city = wind_over_that_of_a_station(Terrain::city, wind_height_m);
    EXPECT_LT(suburb, 0.8);
    EXPECT_LT(city, suburb);
    EXPECT_GT(city, 0.3);
}

// Forced convection of the low buildings that the default was measured on goes with v^0.89 to
// windward [yazdanian1994]; leaks keep the station's wind, whose shelter class knows the land.
TEST(Terrain, ConvectionAndGapsHaveTheWindOfTheSite) {
    Site site;
    Weather weather;
    weather.hour_start_utc.assign(24, {});
    for (std::size_t h = 0; h < 24; ++h)
        weather.hour_start_utc[h] = std::chrono::sys_days{} + std::chrono::hours(h);
    weather.dry_bulb_c.assign(24, 25.0);
    weather.dew_point_c.assign(24, 10.0);
    weather.wind_speed_m_s.assign(24, 4.0);
    weather.pressure_pa.assign(24, 101325.0);
    weather.global_w_m2.assign(24, 0.0);
    const Surroundings open = make_surroundings(site, weather, {});
    const Surroundings city = make_surroundings(site, weather, {.terrain = Terrain::city});
    const double ratio = wind_over_that_of_a_station(Terrain::city, wind_height_m);
    EXPECT_NEAR(city.forced_windward_w_m2k[5] / open.forced_windward_w_m2k[5],
                std::pow(ratio, 0.89), 1e-9);
    EXPECT_EQ(city.wind_at(5), 4.0);
    EXPECT_NEAR(city.wind_on_site(5), 4.0 * ratio, 1e-12);
    EXPECT_EQ(open.wind_on_site(5), 4.0);
}

}  // namespace
}  // namespace noonshell
