// A run in which nothing is cooled: no rank, and the hottest unit in place of the largest load.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

Outcome run_site(const std::string& more_toml, bool json,
                 const std::string& weather_toml = design_day_toml) {
    const Folder folder;
    const std::string site =
        write_site(folder, place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" +
                               weather_toml + coarse_toml + more_toml);
    std::vector<std::string> arguments{"run", site, "--out", (folder / "out").string()};
    if (json) arguments.emplace_back("--json");
    return run_program(arguments);
}

std::string warning_text(const Json& document, const std::string& code) {
    for (const Json& warning : document["warnings"]) {
        if (warning["code"] == code) return warning["text"];
    }
    return "";
}

TEST(FreeRunning, HasNoRankAndSaysWhatToDo) {
    const Outcome outcome = run_site("[room]\ncooling = \"none\"\n", true);
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    for (const Json& surface : document["surfaces"]) EXPECT_TRUE(surface["rank"].is_null());
    for (const Json& unit : document["units"]) {
        EXPECT_EQ(unit["cooling_kwh"], 0.0);
        EXPECT_TRUE(unit["peak_cooling_time"].is_null());
    }
    EXPECT_NE(warning_text(document, "nothing-to-rank").find("cooling = \"ideal\""),
              std::string::npos)
        << document["warnings"];
}

TEST(FreeRunning, PageNamesTheHottestUnitAndOrdersByHeat) {
    const Outcome outcome = run_site("[room]\ncooling = \"none\"\n", false);
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const std::string& page = outcome.out;
    EXPECT_NE(page.find("Hottest unit without cooling: unit-"), std::string::npos) << page;
    EXPECT_NE(page.find("nothing-to-rank"), std::string::npos);
    EXPECT_EQ(page.find("Most cooling saved"), std::string::npos);
    EXPECT_EQ(page.find("Largest cooling load"), std::string::npos);
    std::istringstream lines(page.substr(page.find("\nSurfaces,")));
    std::size_t rows = 0;
    double hotter_c = 1000;
    for (std::string line; std::getline(lines, line);) {
        std::istringstream words(line);
        std::string rank, id, open_m2, sun, peak_c;
        if (!(words >> rank >> id >> open_m2 >> sun >> peak_c) || rank != "-") continue;
        ++rows;
        if (peak_c == "-") continue;
        EXPECT_LE(std::stod(peak_c), hotter_c) << line;
        hotter_c = std::stod(peak_c);
    }
    EXPECT_EQ(rows, 12u) << "two boxes of six sides";
}

/// Cooled rooms on a day that needs no cooling are the same case with another remedy.
TEST(FreeRunning, ColdDayNeedsNoCoolingEither) {
    const Outcome outcome =
        run_site("", true,
                 "[weather.design_day]\nmonth = 1\npeak_dry_bulb_c = -20\ndew_point_c = "
                 "-45\nwind_m_s = 8\ntau_b = 1.5\ntau_d = 3\n");
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    EXPECT_TRUE(document["surfaces"][0]["rank"].is_null());
    EXPECT_NE(warning_text(document, "nothing-to-rank").find("hotter period"), std::string::npos);
}

TEST(FreeRunning, CooledRoomsAreRanked) {
    const Outcome outcome = run_site("", true);
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_EQ(warning_text(Json::parse(outcome.out), "nothing-to-rank"), "");
}

}  // namespace
}  // namespace noonshell
