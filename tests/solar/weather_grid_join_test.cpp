// Weather that lies in several NetCDF files: what they hold together is what one file would hold.
#include "solar/weather_grid_join.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "tests/solar/desert_site.hpp"
#include "tests/solar/netcdf_writer.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;
using test::data;
using test::desert;
using Quantity = WeatherQuantity;
using Folder = test_support::ScratchFolder;

struct Variable {
    std::string name, standard_name, units;
    std::function<double(int)> value;  ///< by interval from 21 July 2023 0 h UTC on
    std::string methods = "time: point";
};

const Variable air{"t", "air_temperature", "K", [](int i) { return 290 + 0.1 * i; }};
const Variable dew{"d", "dew_point_temperature", "K", [](int i) { return 280 + 0.01 * i; }};
const Variable east{"u", "eastward_wind", "m s-1", [](int) { return 3; }};
const Variable north{"v", "northward_wind", "m s-1", [](int) { return -4; }};
const Variable light{"s", "surface_downwelling_shortwave_flux_in_air", "W m-2",
                     [](int i) { return i % 24 >= 6 && i % 24 < 15 ? 500 + i : 0; }, "time: mean"};
const Variable longwave{"l", "surface_downwelling_longwave_flux_in_air", "W m-2",
                        [](int i) { return 350 + i; }, "time: mean"};

/// Intervals [begin, end) of `hours_each`, stamped at their end or `ahead_h` hours before it.
struct Part {
    std::vector<Variable> variables;
    int begin = 0, end = 48, hours_each = 1;
    double ahead_h = 0, latitude_deg = 27.1;
    std::string bounds{};  ///< further declarations
};

std::filesystem::path write(const Folder& folder, const std::string& name, const Part& part) {
    const int n = part.end - part.begin;
    std::string cdl = "netcdf met {\ndimensions:\n time = " + std::to_string(n) +
                      " ;\nvariables:\n double time(time) ;\n"
                      "  time:units = \"hours since 2023-07-21 00:00:00\" ;\n"
                      " double lat ;\n  lat:units = \"degrees_north\" ;\n"
                      " double lon ;\n  lon:units = \"degrees_east\" ;\n";
    std::string values = "data:\n lat = " + std::to_string(part.latitude_deg) +
                         " ;\n lon = 30.1 ;\n" + data("time", n, [&](int i) {
                             return (part.begin + i + 1) * part.hours_each - part.ahead_h;
                         });
    for (const Variable& v : part.variables) {
        cdl += " double " + v.name + "(time) ;\n  " + v.name + ":standard_name = \"" +
               v.standard_name + "\" ;\n  " + v.name + ":units = \"" + v.units + "\" ;\n  " +
               v.name + ":cell_methods = \"" + v.methods + "\" ;\n";
        values += data(v.name, n, [&](int i) { return v.value(part.begin + i); });
    }
    return test::write_netcdf(folder, cdl + values + "}\n", "nc3", name);
}

const std::vector<Variable> all{air, dew, east, north, light, longwave};

Weather weather_of(const std::vector<std::filesystem::path>& files,
                   const WeatherGridFormat& format = {}) {
    return hourly_weather(desert(), read_weather_grids(files, desert(), format).samples);
}

void expect_equal(const Weather& seen, const Weather& expected) {
    EXPECT_EQ(seen.hour_start_utc, expected.hour_start_utc);
    EXPECT_EQ(seen.dry_bulb_c, expected.dry_bulb_c);
    EXPECT_EQ(seen.dew_point_c, expected.dew_point_c);
    EXPECT_EQ(seen.wind_speed_m_s, expected.wind_speed_m_s);
    EXPECT_EQ(seen.wind_direction_deg, expected.wind_direction_deg);
    EXPECT_EQ(seen.global_w_m2, expected.global_w_m2);
    EXPECT_EQ(seen.direct_normal_w_m2, expected.direct_normal_w_m2);
    EXPECT_EQ(seen.longwave_down_w_m2, expected.longwave_down_w_m2);
    EXPECT_TRUE(seen.warnings.empty());
}

TEST(WeatherGridJoin, PartsOfTheTimeAreTheWhole) {
    const Folder folder;
    const Weather whole = weather_of({write(folder, "whole.nc", {all})});
    ASSERT_EQ(whole.size(), 48u);
    EXPECT_EQ(whole.wind_speed_m_s[7], 5);
    const auto first = write(folder, "a.nc", {all, 0, 20});
    const auto second = write(folder, "b.nc", {all, 20, 29});
    const auto third = write(folder, "c.nc", {all, 29, 48});
    const Weather joined = weather_of({third, first, second});
    expect_equal(joined, whole);
    EXPECT_EQ(joined.source.substr(0, 43), "a.nc and 2 more, cell at 27.10 N 30.10 E; l");
}

TEST(WeatherGridJoin, PartsOfTheQuantitiesAreTheWhole) {
    const Folder folder;
    const Weather whole = weather_of({write(folder, "whole.nc", {all})});
    std::vector<std::filesystem::path> files;
    for (const Variable& variable : all)
        for (const int half : {0, 1})
            files.push_back(write(folder, variable.name + std::to_string(half) + ".nc",
                                  {{variable}, 24 * half, 24 * half + 24}));
    expect_equal(weather_of(files), whole);
}

// Files of instants often begin with one at 0 h, files of means with the hour from 0 to 1 h.
TEST(WeatherGridJoin, InstantsMayBeginAnHourBefore) {
    const Folder folder;
    const std::vector<Variable> states{air, dew, east, north}, fluxes{light, longwave};
    const auto means = write(folder, "means.nc", {fluxes, 0, 48});
    const Weather expected = weather_of({write(folder, "states.nc", {states, 0, 48}), means});
    const Weather seen = weather_of({write(folder, "early.nc", {states, -1, 47}), means});
    ASSERT_EQ(seen.size(), 48u);
    EXPECT_EQ(seen.global_w_m2, expected.global_w_m2);
    EXPECT_TRUE(seen.warnings.empty());
    for (std::size_t h = 0; h < 47; ++h)
        EXPECT_NEAR(seen.dry_bulb_c[h], expected.dry_bulb_c[h], 1e-9) << h;
    EXPECT_NEAR(seen.dry_bulb_c[47], expected.dry_bulb_c[46], 1e-9);  // held
    // At half past: on the line between two readings.
    const Weather half = weather_of({write(folder, "half.nc", {states, 0, 48, 1, 0.5}), means});
    EXPECT_NEAR(half.dry_bulb_c[9], expected.dry_bulb_c[9] + 0.05, 1e-9);
}

// 3-hourly files, stamped at either end.
TEST(WeatherGridJoin, ReadsThreeHourlyFiles) {
    const Folder folder;
    WeatherGridFormat at_start;
    at_start.stamp = StampAt::start;
    std::vector<Variable> three = all;
    for (Variable& v : three) v.methods = "time: mean";
    for (const double ahead_h : {0.0, 3.0}) {
        const WeatherGridFormat format = ahead_h > 0 ? at_start : WeatherGridFormat{};
        const auto read = [&](const std::string& name, int begin, int end) {
            return write(folder, name, {three, begin, end, 3, ahead_h});
        };
        const WeatherGrid grid =
            read_weather_grids({read("a.nc", 0, 8), read("b.nc", 8, 16)}, desert(), format);
        EXPECT_EQ(grid.samples.interval_s, 10800);
        EXPECT_EQ(grid.samples.begin_utc[0], sys_days{2023y / July / 21});
        const Weather weather = hourly_weather(desert(), grid.samples);
        ASSERT_EQ(weather.size(), 48u);
        for (std::size_t i = 0; i < 16; ++i) {
            const double sum = weather.global_w_m2[3 * i] + weather.global_w_m2[3 * i + 1] +
                               weather.global_w_m2[3 * i + 2];
            EXPECT_NEAR(sum / 3, grid.samples[Quantity::global].values[i], 1e-9);
        }
    }
}

TEST(WeatherGridJoin, FarInstantsOfSunlightAreRefused) {
    const Folder folder;
    std::vector<Variable> instants = all;
    for (Variable& v : instants) v.methods = "time: point";
    const auto file = write(folder, "met.nc", {instants, 0, 16, 3});
    try {
        read_weather_grid(file, desert());
        FAIL();
    } catch (const InputError& error) {
        EXPECT_NE(std::string(error.what())
                      .find("met.nc: s: expected means or sums of sunlight over intervals of more "
                            "than an hour, saw instants (cell_methods \"time: point\") every 3 h"),
                  std::string::npos)
            << error.what();
    }
}

std::string error_of(const Folder& folder, const std::vector<Part>& parts,
                     const WeatherGridFormat& format = {}) {
    std::vector<std::filesystem::path> files;
    std::string name = "a.nc";
    for (const Part& part : parts) {
        files.push_back(write(folder, name, part));
        ++name[0];
    }
    try {
        hourly_weather(desert(), read_weather_grids(files, desert(), format).samples);
    } catch (const InputError& error) {
        std::string message = error.what();
        EXPECT_EQ(message.find('\n'), std::string::npos);
        const std::string path = (folder / "").string();
        for (std::size_t at = 0; (at = message.find(path)) != std::string::npos;)
            message.erase(at, path.size());
        return message;
    }
    return "no error";
}

TEST(WeatherGridJoin, NamesWhatDoesNotFit) {
    const Folder folder;
    EXPECT_EQ(error_of(folder, {{all, 0, 24}, {all, 23, 48}}),
              "b.nc: dry_bulb: expected times after those of a.nc, from 2023-07-22 00:00 UTC on, "
              "saw an overlap: times from 2023-07-21 23:00 UTC");
    EXPECT_EQ(error_of(folder, {{all, 0, 24}, {all, 0, 24}}),
              "b.nc: dry_bulb: expected times after those of a.nc, from 2023-07-22 00:00 UTC on, "
              "saw an overlap: times from 2023-07-21 00:00 UTC");
    EXPECT_EQ(error_of(folder, {{all, 0, 24}, {all, 48, 72}}),
              "b.nc: dry_bulb: expected gaps of at most 6 h (longest_fill_h), saw 24 missing hours "
              "from 2023-07-22 00:00 UTC on");
    EXPECT_EQ(error_of(folder, {{all, 0, 24}, {all, 24, 48, 1, 0, 28.5}}),
              "b.nc: expected the cell of a.nc at latitude and longitude 27.100, 30.100, saw the "
              "nearest one at 28.500, 30.100");
    EXPECT_EQ(error_of(folder, {{all, 0, 24}, {all, 8, 16, 3}}),
              "b.nc: time: expected intervals of 3600 s as in a.nc, saw 10800 s");
    EXPECT_EQ(error_of(folder, {{{light, longwave}, 0, 48}, {{air, dew, east, north}, 0, 24}}),
              "b.nc: dry_bulb: expected the period of global, 2023-07-21 00:00 UTC to 2023-07-23 "
              "00:00 UTC, saw 2023-07-21 00:00 UTC to 2023-07-22 00:00 UTC");
    Variable mean_air = air;
    mean_air.methods = "time: mean";
    EXPECT_EQ(
        error_of(folder, {{{light, longwave, dew, east, north}}, {{mean_air}, 0, 48, 1, 0.25}}),
        "b.nc: dry_bulb: expected means over the intervals of global, which begin 2023-07-21 "
        "00:00 UTC, saw means over others, which begin 2023-07-20 23:45 UTC");
    EXPECT_EQ(
        error_of(folder, {{{light, dew, east, north}}, {{longwave}}}),
        "a.nc and 1 more: expected a variable of the standard_name air_temperature, or its name as "
        "weather.netcdf.dry_bulb in the site file, saw none");
    EXPECT_EQ(error_of(folder, {{{light, air, dew, east}}, {{longwave}}}),
              "a.nc and 1 more: wind_speed: expected a wind speed, saw no such quantity");
    EXPECT_EQ(error_of(folder, {{all}, {{{"x", "sea_ice_thickness", "m", air.value}}}}),
              "b.nc: expected weather, by standard_names or the names in the site file, saw no "
              "such variable");
    WeatherGridFormat format;
    format.variables[static_cast<std::size_t>(Quantity::pressure)] = "sp";
    EXPECT_EQ(error_of(folder, {{all, 0, 24}, {all, 24, 48}}, format),
              "a.nc and 1 more: sp: expected a variable of this name, saw none");
}

// A short gap between two files is filled as one within a file is.
TEST(WeatherGridJoin, ShortGapsAreFilledAndTold) {
    const Folder folder;
    const Weather weather =
        weather_of({write(folder, "a.nc", {all, 0, 24}), write(folder, "b.nc", {all, 26, 48})});
    ASSERT_EQ(weather.size(), 48u);
    EXPECT_FALSE(weather.warnings.empty());
    EXPECT_NEAR(weather.dry_bulb_c[24], 290 + 2.4 - 273.15, 1e-9);
}

}  // namespace
}  // namespace noonshell
