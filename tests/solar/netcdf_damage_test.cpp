// Damaged NetCDF files end in one line of error or are read; the program lives on.
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "solar/weather_grid.hpp"
#include "solar/weather_grid_bytes.hpp"
#include "tests/solar/netcdf_writer.hpp"

namespace noonshell {
namespace {

using test::data;

std::string small_file() {
    constexpr int n = 48;
    return "netcdf met {\ndimensions:\n time = UNLIMITED ;\nvariables:\n double time(time) ;\n"
           "  time:units = \"hours since 2023-07-21 00:00:00\" ;\n"
           " double lat ;\n  lat:standard_name = \"latitude\" ;\n  lat:units = \"degrees_north\" "
           ";\n double lon ;\n  lon:standard_name = \"longitude\" ;\n"
           "  lon:units = \"degrees_east\" ;\n float tas(time) ;\n"
           "  tas:standard_name = \"air_temperature\" ;\n  tas:units = \"K\" ;\ndata:\n" +
           data("time", n, [](int i) { return i + 1; }) + " lat = 27 ;\n lon = 30 ;\n" +
           data("tas", n, [](int i) { return 300 + 0.1 * i; }) + "}\n";
}

std::string bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// Reads it; what an error says is one line.
void read(const std::filesystem::path& file) {
    const Site site{.latitude_deg = 27, .longitude_deg = 30};
    try {
        EXPECT_GE(read_weather_grid(file, site, {}, 6).samples.begin_utc.size(), 2u);
    } catch (const InputError& error) {
        EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << error.what();
    }
}

// Bytes set to other values at random, some in every file, and files cut short: any of them takes
// the program down where the library is trusted.
TEST(NetcdfDamage, NoDamagedFileTakesTheProgramDown) {
    const test_support::ScratchFolder folder;
    std::mt19937 random(20230721);
    for (const char* kind : {"nc3", "nc4"}) {
        const std::string whole = bytes_of(test::write_netcdf(folder, small_file(), kind));
        ASSERT_GT(whole.size(), 500u);
        for (int k = 0; k < 60; ++k) {
            std::string damaged = whole;
            for (int hit = 0; hit < 1 + k % 20; ++hit) {
                damaged[8 + random() % (whole.size() - 8)] = static_cast<char>(random());
            }
            if (k % 5 == 4) damaged.resize(8 + random() % (whole.size() - 8));
            const std::filesystem::path file = folder / "damaged.nc";
            std::ofstream(file, std::ios::binary) << damaged;
            read(file);
        }
    }
}

// What a child process hands back is what it had: every field, and an error as it was.
TEST(NetcdfDamage, AGridAndAnErrorPassThroughBytes) {
    WeatherGrid grid;
    grid.samples.file = "met.nc";
    grid.samples.source = "met.nc, cell";
    grid.samples.interval_s = 1800;
    grid.samples.clock_offset = std::chrono::hours(2);
    grid.samples.begin_utc = {std::chrono::sys_seconds(std::chrono::seconds(7200))};
    grid.samples[WeatherQuantity::global] = {{1.5, 2.5}, false, 12};
    grid.latitude_deg = 27;
    grid.longitude_deg = 30;
    grid.distance_km = 3;
    grid.warnings = {{"code", "text", "where"}};
    const WeatherGrid back =
        grid_or_error_from_bytes(grid_or_error_as_bytes([&grid] { return grid; }));
    EXPECT_EQ(back.samples.file, "met.nc");
    EXPECT_EQ(back.samples.source, "met.nc, cell");
    EXPECT_EQ(back.samples.interval_s, 1800);
    EXPECT_EQ(back.samples.clock_offset, std::chrono::hours(2));
    EXPECT_EQ(back.samples.begin_utc, grid.samples.begin_utc);
    const WeatherSeries& global = back.samples[WeatherQuantity::global];
    EXPECT_EQ(global.values, (std::vector{1.5, 2.5}));
    EXPECT_FALSE(global.is_mean);
    EXPECT_EQ(global.instant_s, 12);
    EXPECT_TRUE(back.samples[WeatherQuantity::diffuse].values.empty());
    EXPECT_EQ(back.latitude_deg, 27);
    EXPECT_EQ(back.longitude_deg, 30);
    EXPECT_EQ(back.distance_km, 3);
    ASSERT_EQ(back.warnings.size(), 1u);
    EXPECT_EQ(back.warnings[0].where, "where");

    const auto refuse = []() -> WeatherGrid {
        throw InputError({.file = "met.nc", .line = {}, .column = {}, .entity = "tas"}, "a", "b");
    };
    const std::string bytes = grid_or_error_as_bytes(refuse);
    try {
        grid_or_error_from_bytes(bytes);
        FAIL() << "no error";
    } catch (const InputError& error) {
        EXPECT_STREQ(error.what(), "met.nc: tas: expected a, saw b");
    }
}

// The same files without damage.
TEST(NetcdfDamage, TheWholeFileIsRead) {
    const test_support::ScratchFolder folder;
    for (const char* kind : {"nc3", "nc4"}) {
        const auto file = test::write_netcdf(folder, small_file(), kind);
        const Site site{.latitude_deg = 27, .longitude_deg = 30};
        EXPECT_EQ(read_weather_grid(file, site, {}, 6).samples.begin_utc.size(), 48u);
    }
}

}  // namespace
}  // namespace noonshell
