// NetCDF weather by the names of the CF conventions; the files are written by ncgen.
#include "solar/weather_grid.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>

#include "solar/great_circle.hpp"
#include "tests/solar/desert_site.hpp"
#include "tests/solar/netcdf_writer.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;
using test::data;
using test::desert;
using test::write_netcdf;
using Quantity = WeatherQuantity;
using Folder = test_support::ScratchFolder;

std::string swapped(std::string text, const std::string& old_part, const std::string& new_part) {
    const std::size_t at = text.find(old_part);
    EXPECT_NE(at, std::string::npos) << old_part;
    if (at != std::string::npos) text.replace(at, old_part.size(), new_part);
    return text;
}

bool is_day(int hour_of_day_utc) {
    return hour_of_day_utc > 5 && hour_of_day_utc <= 15;
}

constexpr int n = 48;

/// 48 hours from 21 July 2023, times at the end of hours: air 300 K + hour / 10.
std::string point() {
    return "netcdf met {\ndimensions:\n time = UNLIMITED ;\n nv = 2 ;\nvariables:\n"
           " double time(time) ;\n  time:units = \"hours since 2023-07-21 00:00:00\" ;\n"
           "  time:standard_name = \"time\" ;\n"
           " double lat ;\n  lat:standard_name = \"latitude\" ;\n  lat:units = \"degrees_north\" "
           ";\n"
           " double lon ;\n  lon:standard_name = \"longitude\" ;\n  lon:units = \"degrees_east\" "
           ";\n"
           " float tas(time) ;\n  tas:standard_name = \"air_temperature\" ;\n  tas:units = \"K\" "
           ";\n"
           " float td(time) ;\n  td:standard_name = \"dew_point_temperature\" ;\n"
           "  td:units = \"degC\" ;\n"
           " float ps(time) ;\n  ps:standard_name = \"surface_air_pressure\" ;\n"
           "  ps:units = \"hPa\" ;\n"
           " float u(time) ;\n  u:standard_name = \"eastward_wind\" ;\n  u:units = \"m s-1\" ;\n"
           " float v(time) ;\n  v:standard_name = \"northward_wind\" ;\n  v:units = \"m s**-1\" ;\n"
           " float sw(time) ;\n"
           "  sw:standard_name = \"surface_downwelling_shortwave_flux_in_air\" ;\n"
           "  sw:units = \"W m-2\" ;\n  sw:cell_methods = \"time: mean\" ;\n"
           " float sd(time) ;\n"
           "  sd:standard_name = \"surface_direct_downwelling_shortwave_flux_in_air\" ;\n"
           "  sd:units = \"W m-2\" ;\n"
           " float lw(time) ;\n"
           "  lw:standard_name = \"surface_downwelling_longwave_flux_in_air\" ;\n"
           "  lw:units = \"W m-2\" ;\n"
           "data:\n lat = 27.1 ;\n lon = 30.1 ;\n" +
           data("time", n, [](int i) { return i + 1; }) +
           data("tas", n, [](int i) { return 300 + 0.1 * i; }) +
           data("td", n, [](int) { return 8; }) + data("ps", n, [](int) { return 1001.5; }) +
           data("u", n, [](int) { return 3; }) + data("v", n, [](int) { return -4; }) +
           data("sw", n, [](int i) { return is_day(i % 24 + 1) ? 600 : 0; }) +
           data("sd", n, [](int i) { return is_day(i % 24 + 1) ? 450 : 0; }) +
           data("lw", n, [](int i) { return 350 + i; }) + "}\n";
}

WeatherGrid read(const std::string& cdl, const WeatherGridFormat& format = {},
                 const Site& site = desert(), const std::string& kind = "nc3") {
    const Folder folder;
    return read_weather_grid(write_netcdf(folder, cdl, kind), site, format);
}

std::string error_of(const std::string& cdl, const WeatherGridFormat& format = {}) {
    try {
        read(cdl, format);
    } catch (const InputError& error) {
        const std::string message = error.what();
        EXPECT_EQ(message.find('\n'), std::string::npos);
        return message.substr(message.find("met.nc"));
    }
    return "no error";
}

TEST(WeatherGrid, ReadsAPointByStandardNames) {
    for (const char* kind : {"nc3", "nc6", "nc4", "nc5"}) {
        const WeatherGrid grid = read(point(), {}, desert(), kind);
        const Weather weather = hourly_weather(desert(), grid.samples);
        ASSERT_EQ(weather.size(), 48u) << kind;
        EXPECT_EQ(weather.hour_start_utc[0], sys_days{2023y / July / 21});
        EXPECT_NEAR(weather.dry_bulb_c[9], 300.9 - 273.15, 1e-4);
        EXPECT_EQ(weather.dew_point_c[9], 8);
        EXPECT_EQ(weather.pressure_pa[9], 100150);
        EXPECT_EQ(weather.wind_speed_m_s[9], 5);
        // 3 m/s towards the east and 4 towards the south: from north-west, 360 - atan(3/4).
        EXPECT_NEAR(weather.wind_direction_deg[9], 360 - std::atan2(3, 4) * 180 / 3.14159265, 1e-5);
        EXPECT_EQ(weather.global_w_m2[9], 600);
        EXPECT_EQ(weather.diffuse_w_m2[9], 150);
        EXPECT_GT(weather.direct_normal_w_m2[9], 450);
        EXPECT_EQ(weather.longwave_down_w_m2[9], 359);
        EXPECT_NEAR(grid.distance_km, great_circle_km(27, 30, 27.1, 30.1), 1e-9);
        EXPECT_TRUE(grid.warnings.empty());
        EXPECT_EQ(grid.samples.source, "met.nc, cell at 27.10 N 30.10 E");
    }
}

// ---- Time

std::string with_bounds(double lower_shift, double upper_shift) {
    std::string cdl = swapped(point(), "  time:standard_name = \"time\" ;\n",
                              "  time:bounds = \"time_bnds\" ;\n double time_bnds(time, nv) ;\n");
    return swapped(cdl, "}\n", data("time_bnds", 2 * n, [&](int i) {
                                   return i / 2 + 1 + (i % 2 == 0 ? lower_shift : upper_shift);
                               }) + "}\n");
}

TEST(WeatherGrid, TimeBoundsSayWhereIntervalsLie) {
    // Times at the beginning of the hour that they stand for.
    const WeatherGrid grid = read(with_bounds(0, 1));
    EXPECT_EQ(grid.samples.begin_utc[0], sys_days{2023y / July / 21} + hours(1));
    // An instant at the beginning of its interval: the hour's end is the next one.
    const Weather weather = hourly_weather(desert(), grid.samples);
    EXPECT_NEAR(weather.dry_bulb_c[0], 300.1 - 273.15, 1e-4);
    const WeatherGrid middle = read(with_bounds(-0.5, 0.5));
    EXPECT_EQ(middle.samples.begin_utc[0], sys_days{2023y / July / 21} + minutes(30));
}

TEST(WeatherGrid, TheSiteFileSaysItWhereThereAreNoBounds) {
    WeatherGridFormat format;
    format.stamp = StampAt::start;
    EXPECT_EQ(read(point(), format).samples.begin_utc[0], sys_days{2023y / July / 21} + hours(1));
    format.stamp = StampAt::middle;
    EXPECT_EQ(read(point(), format).samples.begin_utc[0],
              sys_days{2023y / July / 21} + minutes(30));
    // A setting goes before bounds.
    format.stamp = StampAt::end;
    EXPECT_EQ(read(with_bounds(0, 1), format).samples.begin_utc[0], sys_days{2023y / July / 21});
}

TEST(WeatherGrid, HourlyTimesAtHalfPastAreMiddles) {
    const std::string cdl = swapped(point(), data("time", n, [](int i) { return i + 1; }),
                                    data("time", n, [](int i) { return i + 0.5; }));
    const WeatherGrid grid = read(cdl);
    EXPECT_EQ(grid.samples.begin_utc[0], sys_days{2023y / July / 21});
    EXPECT_NE(grid.samples.source.find("times at half past taken as middles"), std::string::npos);
    ASSERT_TRUE(grid.samples.stamps);  // through the child process too
    EXPECT_EQ(grid.samples.stamps->at, StampAt::middle);
    EXPECT_EQ(grid.samples.stamps->key, "weather.netcdf.stamp");
    // Readings in the middle of the hour: at its end half way to the next.
    EXPECT_NEAR(hourly_weather(desert(), grid.samples).dry_bulb_c[9], 300.95 - 273.15, 1e-4);
    WeatherGridFormat format;
    format.stamp = StampAt::end;
    EXPECT_EQ(read(cdl, format).samples.begin_utc[0], sys_days{2023y / July / 20} + minutes(1410));
    EXPECT_FALSE(read(with_bounds(0, 1)).samples.stamps);
}

// ---- Heights

/// A scalar height that `variables` carry.
std::string at_height(std::string cdl, const std::vector<std::string>& variables,
                      const std::string& name, double height_m) {
    std::string head = " double " + name + " ;\n  " + name + ":standard_name = \"height\" ;\n  " +
                       name + ":units = \"m\" ;\n";
    for (const std::string& variable : variables)
        head += "  " + variable + ":coordinates = \"" + name + "\" ;\n";
    cdl = swapped(cdl, "data:\n",
                  head + "data:\n " + name + " = " + std::to_string(height_m) + " ;\n");
    return cdl;
}

std::string with_second_wind(std::string cdl) {
    for (const std::string wind : {"u", "v"}) {
        const std::string name = wind == "u" ? "eastward_wind" : "northward_wind";
        cdl = swapped(cdl, "data:\n",
                      " float " + wind + "100(time) ;\n  " + wind + "100:standard_name = \"" +
                          name + "\" ;\n  " + wind + "100:units = \"m s-1\" ;\ndata:\n");
        cdl = swapped(cdl, "}\n", data(wind + "100", n, [](int) { return 9; }) + "}\n");
    }
    return cdl;
}

TEST(WeatherGrid, WindIsTakenAtTenMetres) {
    const auto speed = [](const WeatherGrid& grid) {
        return hourly_weather(desert(), grid.samples).wind_speed_m_s[9];
    };
    // Of two heights the right one, whether it is stated or not.
    std::string two = at_height(with_second_wind(point()), {"u100", "v100"}, "h100", 100);
    EXPECT_EQ(speed(read(two)), 5);
    two = at_height(two, {"u", "v"}, "h10", 10);
    const WeatherGrid right = read(two);
    EXPECT_EQ(speed(right), 5);
    EXPECT_TRUE(right.warnings.empty());
    EXPECT_NE(error_of(with_second_wind(point())).find("a second one beside u"), std::string::npos);
    // By hand: (10 / 100)^0.14 = 0.7244.
    const WeatherGrid high = read(at_height(point(), {"u", "v"}, "h", 100));
    EXPECT_NEAR(speed(high), 5 * 0.7244, 1e-3);
    ASSERT_EQ(high.warnings.size(), 1u);
    EXPECT_EQ(high.warnings[0].code, "weather-height");
    EXPECT_NE(
        high.warnings[0].text.find("wind is told at 100 m: taken to 10 m by a factor of 0.724"),
        std::string::npos)
        << high.warnings[0].text;
}

TEST(WeatherGrid, AirOfAnotherHeightIsTold) {
    EXPECT_TRUE(read(at_height(point(), {"tas", "td"}, "h", 2)).warnings.empty());
    const WeatherGrid high = read(at_height(point(), {"tas"}, "h", 50));
    ASSERT_EQ(high.warnings.size(), 1u);
    EXPECT_EQ(high.warnings[0].text,
              "air is told at 50 m, not at 2 m above the ground: it is taken as it stands");
    EXPECT_NEAR(hourly_weather(desert(), high.samples).dry_bulb_c[9], 300.9 - 273.15, 1e-4);
}

TEST(WeatherGrid, OfALevelOfHeightsTheNearestIsRead) {
    std::string cdl = swapped(point(), " nv = 2 ;\n", " nv = 2 ;\n z = 3 ;\n");
    cdl = swapped(cdl, " float u(time)",
                  " double z(z) ;\n  z:standard_name = \"height\" ;\n"
                  "  z:units = \"m\" ;\n float u(time, z)");
    cdl = swapped(cdl, data("u", n, [](int) { return 3; }),
                  " z = 2, 10, 80 ;\n" + data("u", 3 * n, [](int i) {
                      return std::array{1, 3, 8}[i % 3];
                  }));
    const WeatherGrid grid = read(cdl);
    EXPECT_TRUE(grid.warnings.empty());
    EXPECT_EQ(hourly_weather(desert(), grid.samples).wind_speed_m_s[9], 5);
}

TEST(WeatherGrid, MeansOfStatesAreCarriedToTheEndOfTheHour) {
    const std::string cdl = swapped(point(), "tas:units = \"K\" ;",
                                    "tas:units = \"K\" ;\n  tas:cell_methods = \"time: mean\" ;");
    const Weather weather = hourly_weather(desert(), read(cdl).samples);
    EXPECT_NEAR(weather.dry_bulb_c[9], 300.95 - 273.15, 1e-4);
}

TEST(WeatherGrid, InstantsOfAFluxAreAveraged) {
    const std::string cdl =
        swapped(point(), "sw:cell_methods = \"time: mean\"", "sw:cell_methods = \"time: point\"");
    const WeatherGrid grid = read(cdl);
    const auto& global = grid.samples[Quantity::global].values;
    EXPECT_EQ(global[4], 0);    // 4 to 5 h: dark at both ends
    EXPECT_EQ(global[5], 300);  // 5 to 6 h: 0 and 600
    EXPECT_EQ(global[6], 600);
}

TEST(WeatherGrid, StepsOverLeapDaysOfAnAxisWithoutThem) {
    std::string cdl = swapped(point(), "2023-07-21 00:00:00\" ;",
                              "2020-02-28 00:00:00\" ;\n  time:calendar = \"noleap\" ;");
    const WeatherGrid grid = read(cdl);
    ASSERT_EQ(grid.samples.begin_utc.size(), 48u);
    EXPECT_EQ(grid.samples.begin_utc[23], sys_days{2020y / February / 28} + hours(23));
    EXPECT_EQ(grid.samples.begin_utc[24], sys_days{2020y / March / 1});
}

// ---- Accumulated fluxes

/// sw in J m-2 as `joule` gives it by time.
std::string with_energy(const std::string& cdl, const std::function<double(int)>& joule) {
    std::string text = swapped(cdl, "float sw(time)", "double sw(time)");
    text = swapped(text, "  sw:units = \"W m-2\" ;\n  sw:cell_methods = \"time: mean\" ;",
                   "  sw:units = \"J m**-2\" ;");
    return test::with_data(text, "sw", data("sw", n, joule));
}

double watts(int i) {
    return is_day(i % 24 + 1) ? 100.0 * (i % 24) : 0;
}

/// The sum since midnight UTC, stamped at the end of hours: at 24 h the whole day stands.
double since_midnight(int i) {
    double sum = 0;
    for (int k = i - i % 24; k <= i; ++k) sum += 3600 * watts(k);
    return sum;
}

TEST(WeatherGrid, EnergyByIntervalIsDividedByIt) {
    const WeatherGrid grid = read(with_energy(point(), [](int i) { return 3600 * watts(i); }));
    for (int i = 0; i < n; ++i)
        EXPECT_NEAR(grid.samples[Quantity::global].values[static_cast<std::size_t>(i)], watts(i),
                    1e-9);
}

TEST(WeatherGrid, EnergySinceAStartIsTakenApart) {
    WeatherGridFormat format;
    format.accumulation = Accumulation::since_start;
    const WeatherGrid grid = read(with_energy(point(), since_midnight), format);
    const auto& global = grid.samples[Quantity::global].values;
    EXPECT_TRUE(std::isnan(global[0]));  // of how many hours is not known
    for (int i = 1; i < n; ++i)
        EXPECT_NEAR(global[static_cast<std::size_t>(i)], watts(i), 1e-9) << i;
}

TEST(WeatherGrid, EnergyByIntervalWithSunAtNightIsRefused) {
    EXPECT_EQ(error_of(with_energy(point(), since_midnight)),
              "met.nc: sw: expected energy by interval, or weather.netcdf.accumulation = \"since "
              "start\", saw sunlight at night, 2023-07-21 18:00 UTC");
}

// Bounds that all begin at midnight say that sums run since then.
TEST(WeatherGrid, TimeBoundsTellSumsSinceAStart) {
    std::string cdl = with_energy(with_bounds(0, 0), since_midnight);
    cdl = test::with_data(cdl, "time_bnds", data("time_bnds", 2 * n, [](int i) {
                              const int time = i / 2 + 1;
                              return i % 2 == 0 ? (time - 1) / 24 * 24 : time;
                          }));
    const WeatherGrid grid = read(cdl);
    const auto& global = grid.samples[Quantity::global].values;
    for (int i = 0; i < n; ++i)
        EXPECT_NEAR(global[static_cast<std::size_t>(i)], watts(i), 1e-9) << i;
}

TEST(WeatherGrid, KnowsTheNamesOfIntegrals) {
    std::string cdl = with_energy(point(), [](int i) { return 3600 * watts(i); });
    cdl = swapped(cdl, "\"surface_downwelling_shortwave_flux_in_air\"",
                  "\"integral_wrt_time_of_surface_downwelling_shortwave_flux_in_air\"");
    EXPECT_NEAR(read(cdl).samples[Quantity::global].values[9], 900, 1e-9);
}

// ---- Place

/// A grid of 3 latitudes from the north and 4 longitudes from 0 to 360; each cell's air is 280 K +
/// 10 x row + column, packed in steps of 0.01 K about 300 K.
std::string grid_cdl() {
    std::string cdl =
        swapped(point(), " nv = 2 ;\n", " nv = 2 ;\n y = 3 ;\n x = 4 ;\n one = 1 ;\n");
    cdl = swapped(cdl, " double lat ;", " float lat(y) ;");
    cdl = swapped(cdl, " double lon ;", " float lon(x) ;");
    cdl = swapped(cdl, " float tas(time) ;",
                  " short tas(time, one, y, x) ;\n  tas:scale_factor = 0.01 ;\n"
                  "  tas:add_offset = 300. ;\n  tas:_FillValue = -32767s ;");
    cdl = swapped(cdl, "lat = 27.1 ;", "lat = 28, 27, 26 ;");
    cdl = swapped(cdl, "lon = 30.1 ;", "lon = 29, 30, 31, 349 ;");
    for (const char* name : {"td", "ps", "u", "v", "sw", "sd", "lw"}) {
        const std::string declared = std::string(" float ") + name + "(time) ;";
        cdl = swapped(cdl, declared, std::string(" float ") + name + "(time, y, x) ;");
        cdl = test::with_data(cdl, name, data(name, n * 12, [&](int i) -> double {
                                  if (std::string(name) == "td") return i % 12;
                                  if (std::string(name) == "lw") return 300 + i % 12;
                                  return std::string(name) == "ps" ? 990 : 1;
                              }));
    }
    cdl = test::with_data(
        cdl, "tas", data("tas", n * 12, [](int i) {
            return i == 12 * 7 + 5 ? -32767 : 100 * (280 + 10 * (i % 12 / 4) + i % 4 - 300);
        }));
    return cdl;
}

TEST(WeatherGrid, TakesTheNearestCell) {
    struct Place {
        double latitude_deg, longitude_deg, air_c, dew_c;
    };
    for (const Place& p : {Place{27.2, 30.3, 291 - 273.15, 5}, Place{26.4, 30.6, 302 - 273.15, 10},
                           Place{30, 28.8, 280 - 273.15, 0}, Place{26.9, -10.5, 293 - 273.15, 7}}) {
        Site site = desert();
        site.latitude_deg = p.latitude_deg;
        site.longitude_deg = p.longitude_deg;
        const WeatherGrid grid = read(grid_cdl(), {}, site);
        EXPECT_NEAR(grid.samples[Quantity::dry_bulb].values[0], p.air_c, 1e-9);
        EXPECT_EQ(grid.samples[Quantity::dew_point].values[0], p.dew_c);
    }
}

TEST(WeatherGrid, KnowsFillValues) {
    const auto air = read(grid_cdl()).samples[Quantity::dry_bulb].values;  // cell (1, 1)
    EXPECT_TRUE(std::isnan(air[7]));
    EXPECT_FALSE(std::isnan(air[8]));
    // The library's own fill value, where none is stated.
    std::string cdl = swapped(point(), "tas = 300, ", "tas = _, ");
    EXPECT_TRUE(std::isnan(read(cdl).samples[Quantity::dry_bulb].values[0]));
    cdl =
        swapped(point(), "tas:units = \"K\" ;", "tas:units = \"K\" ;\n  tas:valid_max = 304.55f ;");
    EXPECT_TRUE(std::isnan(read(cdl).samples[Quantity::dry_bulb].values[47]));
    EXPECT_FALSE(std::isnan(read(cdl).samples[Quantity::dry_bulb].values[44]));
}

// Models of the land have nothing over the sea. One degree of longitude on the 27th parallel is
// 111.2 cos 27 = 99 km.
TEST(WeatherGrid, NamesTheNearestCellBesideAMaskedOne) {
    const std::string cdl = test::with_data(
        grid_cdl(), "tas", data("tas", n * 12, [](int i) { return i % 12 == 5 ? -32767 : -900; }));
    EXPECT_EQ(error_of(cdl),
              "met.nc: tas: expected values at the cell nearest to the site, saw none at any time: "
              "the cell at 27.00 N 30.00 E is masked; the nearest with values is at 27.00 N 29.00 "
              "E, 99 km from the site");
    const std::string none =
        test::with_data(grid_cdl(), "tas", data("tas", n * 12, [](int) { return -32767; }));
    EXPECT_NE(error_of(none).find("is masked, and so are all others"), std::string::npos);
}

// One degree of latitude is 111.2 km.
TEST(WeatherGrid, WarnsOfAFarCell) {
    Site site = desert();
    site.latitude_deg = 29;
    const WeatherGrid grid = read(grid_cdl(), {}, site);
    ASSERT_EQ(grid.warnings.size(), 1u);
    EXPECT_EQ(grid.warnings[0].code, "weather-cell-far");
    EXPECT_EQ(grid.warnings[0].text,
              "the nearest cell, at 28.00 N 30.00 E, is 111 km from the site");
    site.latitude_deg = 28.44;
    EXPECT_TRUE(read(grid_cdl(), {}, site).warnings.empty());
    site.latitude_deg = 28.46;
    EXPECT_EQ(read(grid_cdl(), {}, site).warnings.size(), 1u);
}

// Stations, and grids turned against the parallels: latitude and longitude over the same
// dimensions.
TEST(WeatherGrid, TakesTheNearestOfPlacesThatAreNoRectangle) {
    std::string cdl = grid_cdl();
    cdl = swapped(cdl, " float lat(y) ;", " float lat(y, x) ;");
    cdl = swapped(cdl, " float lon(x) ;", " float lon(y, x) ;");
    cdl = swapped(cdl, "lat = 28, 27, 26 ;", "lat = 20,20,20,20, 20,20,20,20, 20,20,27,20 ;");
    cdl = swapped(cdl, "lon = 29, 30, 31, 349 ;", "lon = 1,2,3,4, 5,6,7,8, 9,10,30,12 ;");
    const WeatherGrid grid = read(cdl);
    EXPECT_EQ(grid.distance_km, 0);
    EXPECT_NEAR(grid.samples[Quantity::dry_bulb].values[0], 302 - 273.15, 1e-9);
    EXPECT_EQ(grid.samples[Quantity::dew_point].values[0], 10);
}

// ---- Names

TEST(WeatherGrid, VariablesMayBeNamedInTheSiteFile) {
    std::string cdl = swapped(point(), "  tas:standard_name = \"air_temperature\" ;\n", "");
    cdl = swapped(cdl, "  u:standard_name = \"eastward_wind\" ;\n", "");
    WeatherGridFormat format;
    EXPECT_EQ(error_of(cdl),
              "met.nc: expected a variable of the standard_name air_temperature, or its name as "
              "weather.netcdf.dry_bulb in the site file, saw none");
    format.variables[static_cast<std::size_t>(Quantity::dry_bulb)] = "tas";
    EXPECT_FALSE(read(cdl, format).samples.has(Quantity::wind_speed));
    format.wind_east = "u";
    EXPECT_EQ(read(cdl, format).samples[Quantity::wind_speed].values[0], 5);
    format.wind_east = "uu";
    EXPECT_EQ(error_of(cdl, format), "met.nc: uu: expected a variable of this name, saw none");
}

TEST(WeatherGrid, NamesWhatIsWrong) {
    EXPECT_EQ(error_of(swapped(point(), "tas:units = \"K\"", "tas:units = \"furlong\"")),
              "met.nc: tas: expected units as one of degC degF K, saw \"furlong\"");
    EXPECT_EQ(error_of(swapped(point(), "\"dew_point_temperature\"", "\"air_temperature\"")),
              "met.nc: td: expected one variable of the standard_name air_temperature (or its name "
              "in the site file), saw a second one beside tas");
    EXPECT_EQ(error_of(swapped(point(), "tas:units = \"K\"", "tas:units = \"degC\"")),
              "met.nc: tas: expected -90 to 65 degC, saw 300 at 2023-07-21 01:00 UTC");
    EXPECT_EQ(error_of(swapped(point(), "hours since", "days since")),
              "met.nc: time: expected times in steps of an hour, of minutes that divide it or of 2 "
              "or 3 hours, saw steps of 86400 s");
    EXPECT_EQ(error_of(swapped(point(), "hours since", "years since")),
              "met.nc: time: expected time units such as \"hours since 1970-01-01 00:00:00\", saw "
              "\"years since 2023-07-21 00:00:00\"");
    EXPECT_EQ(
        error_of(swapped(point(), "time:standard_name = \"time\"", "time:calendar = \"360_day\"")),
        "met.nc: time: expected the calendar standard, proleptic_gregorian or noleap, saw "
        "\"360_day\"");
    EXPECT_EQ(error_of(swapped(point(), "time = 1, 2,", "time = 1, 1,")),
              "met.nc: time: expected an interval that begins 2023-07-21 01:00 UTC or later, saw "
              "2023-07-21 00:00 UTC, which is there already or earlier");
    EXPECT_EQ(error_of(swapped(swapped(point(), "  lat:standard_name = \"latitude\" ;\n", ""),
                               "  lat:units = \"degrees_north\" ;\n", "")),
              "met.nc: tas: expected a latitude that belongs to this variable, saw none");
    const std::string twofold = swapped(point(), " float ps(time) ;", " float ps(time, nv) ;");
    EXPECT_EQ(error_of(test::with_data(twofold, "ps", data("ps", 2 * n, [](int) { return 990; }))),
              "met.nc: ps: expected dimensions of time and place only, saw nv of length 2");
}

// ---- Files that are none

std::string file_error(const std::string& bytes) {
    const Folder folder;
    try {
        read_weather_grid(folder.write("met.nc", bytes), desert());
    } catch (const InputError& error) {
        const std::string message = error.what();
        EXPECT_EQ(message.find('\n'), std::string::npos);
        return message.substr(message.find("met.nc"));
    }
    return "no error";
}

std::string bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

TEST(WeatherGrid, RefusesFilesOfOtherKinds) {
    EXPECT_EQ(file_error("time,T\n1,2\n"),
              "met.nc: expected a NetCDF file, saw a file of another kind");
    EXPECT_EQ(file_error(""), "met.nc: expected a NetCDF file, saw a file of another kind");
    EXPECT_EQ(file_error("CDF\1").substr(0, 31), "met.nc: expected a NetCDF file,");
    EXPECT_NE(file_error("CDF\1xxxxxxxxxxxxxxxxxxxxxxxxx"), "no error");
    EXPECT_NE(file_error("\x89HDF\r\n\x1A\nxxxxxxxxxxxxxxxxxxxxxx"), "no error");
    EXPECT_THROW(read_weather_grid("/nowhere/met.nc", desert()), InputError);
    EXPECT_THROW(read_weather_grid("/", desert()), InputError);
}

// Cut anywhere, or with a byte of its heading turned, a file is refused in one line or read; it
// never ends the program.
TEST(WeatherGrid, SurvivesDamage) {
    const Folder folder;
    for (const char* kind : {"nc3", "nc4"}) {
        const std::string whole = bytes_of(write_netcdf(folder, point(), kind, "whole.nc"));
        ASSERT_GT(whole.size(), 1000u);
        std::size_t n_errors = 0;
        for (std::size_t size = 0; size < whole.size(); size += whole.size() / 15 + 1)
            n_errors += file_error(whole.substr(0, size)) != "no error" ? 1 : 0;
        EXPECT_GE(n_errors, 12u) << kind;
        const bool classic = std::string(kind) == "nc3";
        for (std::size_t at = 0; classic && at < std::min<std::size_t>(whole.size(), 3000);
             at += 19) {
            std::string damaged = whole;
            damaged[at] = static_cast<char>(damaged[at] ^ (1 << (at % 8)));
            file_error(damaged);
        }
    }
}

}  // namespace
}  // namespace noonshell
