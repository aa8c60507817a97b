// The skyline of hills, and the suns behind it.
#include "solar/horizon_profile.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/sun_path.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

HorizonProfile read(const std::string& text) {
    const test_support::ScratchFolder folder;
    return read_horizon_profile(folder.write("hills.csv", text));
}

std::string error_of(const std::string& text) {
    try {
        read(text);
    } catch (const InputError& error) {
        const std::string message = error.what();
        return message.substr(message.find("hills.csv"));
    }
    return "no error";
}

TEST(HorizonProfile, IsFlatWhenEmpty) {
    const HorizonProfile flat;
    EXPECT_TRUE(flat.empty());
    for (const double azimuth_deg : {-10.0, 0.0, 123.4, 360.0})
        EXPECT_EQ(flat.elevation_deg(azimuth_deg), 0);
}

TEST(HorizonProfile, GoesStraightBetweenItsPoints) {
    const HorizonProfile hills({90, 180, 270}, {10, 0, 4});
    EXPECT_DOUBLE_EQ(hills.elevation_deg(90), 10);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(135), 5);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(144), 4);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(225), 2);
}

// From 270 (4 deg) to 90 (10 deg) over north: 180 degrees of azimuth, 6 of elevation.
TEST(HorizonProfile, ClosesRoundTheCircle) {
    const HorizonProfile hills({90, 180, 270}, {10, 0, 4});
    EXPECT_DOUBLE_EQ(hills.elevation_deg(0), 7);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(360), 7);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(-360), 7);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(300), 5);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(-60), 5);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(60), 9);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(780), 9);
    EXPECT_NEAR(hills.elevation_deg(-1e-15), 7, 1e-9);
}

TEST(HorizonProfile, OnePointIsARing) {
    const HorizonProfile ring({40}, {3});
    for (const double azimuth_deg : {0.0, 40.0, 41.0, 359.0})
        EXPECT_DOUBLE_EQ(ring.elevation_deg(azimuth_deg), 3);
}

TEST(HorizonProfile, ReadsRowsAndColumnsInAnyOrder) {
    const HorizonProfile hills = read(
        "\xEF\xBB\xBFname,elevation_deg,azimuth_deg\r\nsaddle,0,180\r\n\r\npeak,10,90\r\n"
        "ridge,4,-90\r\n");
    ASSERT_EQ(hills.size(), 3u);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(135), 5);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(0), 7);
    EXPECT_DOUBLE_EQ(hills.highest_deg(), 10);
    EXPECT_DOUBLE_EQ(hills.lowest_deg(), 0);
}

TEST(HorizonProfile, TheEndOfTheCircleMayRepeatItsBeginning) {
    const HorizonProfile hills = read("azimuth_deg,elevation_deg\n0,2\n180,6\n360,2\n");
    EXPECT_EQ(hills.size(), 2u);
    EXPECT_DOUBLE_EQ(hills.elevation_deg(270), 4);
}

TEST(HorizonProfile, ReadsCommasSemicolonsTabsAndBlanks) {
    for (const std::string between : {",", ";", "\t", " ", " ; ", "   ", " \t "}) {
        std::string text = "azimuth_deg|elevation_deg\n90|10\n180|0\n-90|4\n";
        for (std::size_t at = 0; (at = text.find('|', at)) != std::string::npos;)
            text.replace(at, 1, between);
        const HorizonProfile hills = read(text);
        ASSERT_EQ(hills.size(), 3u) << between;
        EXPECT_DOUBLE_EQ(hills.elevation_deg(135), 5) << between;
        EXPECT_DOUBLE_EQ(hills.elevation_deg(0), 7) << between;
    }
    const HorizonProfile aligned = read(
        "\n  name          azimuth_deg  elevation_deg  \n\n  \"east peak\"  90          10\n"
        "  saddle        180          0\t\n  ridge         270          4  \n");
    EXPECT_DOUBLE_EQ(aligned.elevation_deg(135), 5);
}

TEST(HorizonProfile, OneSeparatorHoldsForAllOfTheFile) {
    EXPECT_EQ(error_of("azimuth_deg elevation_deg\n0 2\n90,4\n"),
              "hills.csv:3:1: azimuth_deg: expected a number from -360 to 360, saw \"90,4\"");
    EXPECT_EQ(error_of("azimuth_deg;elevation_deg\n0;2,5\n"),
              "hills.csv:2:2: elevation_deg: expected a number from -10 to 90, saw \"2,5\"");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n0;2\n"),
              "hills.csv:2:1: azimuth_deg: expected a number from -360 to 360, saw \"0;2\"");
    EXPECT_EQ(error_of("azimuth_deg elevation_deg\n0\n"),
              "hills.csv:2:2: elevation_deg: expected a number from -10 to 90, saw nothing");
    EXPECT_EQ(error_of("azimuth_deg\televation_deg\n0\t\t2\n"),
              "hills.csv:2:2: elevation_deg: expected a number from -10 to 90, saw nothing");
    EXPECT_EQ(error_of("azimuth elevation_deg\n0 2\n"),
              "hills.csv:1:1: azimuth_deg: expected a column of this name, saw \"azimuth\"");
}

TEST(HorizonProfile, NamesWhatIsWrong) {
    EXPECT_EQ(error_of("azimuth,elevation_deg\n0,2\n"),
              "hills.csv:1:1: azimuth_deg: expected a column of this name, saw \"azimuth\"");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n0,2\n90,x\n"),
              "hills.csv:3:2: elevation_deg: expected a number from -10 to 90, saw \"x\"");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n0,91\n"),
              "hills.csv:2:2: elevation_deg: expected a number from -10 to 90, saw \"91\"");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n400,1\n"),
              "hills.csv:2:1: azimuth_deg: expected a number from -360 to 360, saw \"400\"");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n10\n"),
              "hills.csv:2:2: elevation_deg: expected a number from -10 to 90, saw nothing");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n0,2\n360,3\n"),
              "hills.csv:3:2: elevation_deg: expected the elevation 2 that this azimuth has "
              "already, saw \"3\"");
    EXPECT_EQ(error_of("azimuth_deg,elevation_deg\n"),
              "hills.csv: expected at least one azimuth with its elevation, saw none");
    EXPECT_NE(error_of(""), "no error");
}

// ---- Suns behind it

Weather one_day() {
    Weather weather;
    const std::chrono::sys_days day{std::chrono::year{2023} / std::chrono::March / 21};
    for (int hour = 0; hour < 24; ++hour)
        weather.hour_start_utc.emplace_back(day + std::chrono::hours(hour));
    return weather;
}

std::size_t n_hidden(const SunPath& path) {
    std::size_t n = 0;
    for (std::size_t step = 0; step < path.size(); ++step) n += path.is_hidden(step) ? 1 : 0;
    return n;
}

TEST(HorizonProfile, HidesNoSunWhenFlat) {
    Site site;
    site.latitude_deg = 27;
    const SunPath path = sun_path(site, one_day());
    ASSERT_EQ(path.hidden.size(), path.size());
    EXPECT_EQ(n_hidden(path), 0u);
}

// At the equinox sin(elevation) = cos(latitude) sin(time since six): from the true elevation -0.57
// (refraction lifts the sun onto the horizon) to 9.91 (it adds 0.09 there) the sun of 27 N turns by
// 0.64 + 11.13 degrees, 47.1 min; morning and evening together 94.
TEST(HorizonProfile, ARingCostsTheSunItsFirstAndLastMinutes) {
    Site site;
    site.latitude_deg = 27;
    site.horizon = HorizonProfile({0}, {10});
    const SunPath path = sun_path(site, one_day(), 60);
    for (std::size_t step = 0; step < path.size(); ++step)
        EXPECT_EQ(path.is_hidden(step), path.elevation_deg[step] < 10) << step;
    EXPECT_NEAR(static_cast<double>(n_hidden(path)), 94, 2);
}

TEST(HorizonProfile, HillsInTheEastHideMorningsOnly) {
    Site site;
    site.latitude_deg = 27;
    site.horizon = HorizonProfile({0, 45, 135, 180}, {0, 15, 15, 0});
    const SunPath path = sun_path(site, one_day(), 60);
    ASSERT_GT(n_hidden(path), 40u);
    for (std::size_t step = 0; step < path.size(); ++step) {
        if (path.is_hidden(step)) {
            EXPECT_LT(path.azimuth_deg[step], 180);
        }
    }
}

}  // namespace
}  // namespace noonshell
