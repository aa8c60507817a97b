// Films on panes, by the built program: single effects, the plan and what is painted of it, and
// films that fit nothing or cannot be on the glass.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using ::testing::HasSubstr;

const std::string film_toml =
    "[[treatment]]\nname = \"solar film\"\nkind = \"window film\"\ncost_per_m2 = 50\n"
    "pane_g_value = 0.35\npane_solar_reflectance = 0.3\n";
const std::string coat_toml =
    "[[treatment]]\nname = \"coat\"\nkind = \"coating\"\nsurfaces = [\"*\"]\ncost_per_m2 = 20\n";

/// Two units side by side, a large window in the south wall of the first.
class WindowFilmRun : public testing::Test {
  protected:
    void SetUp() override {
        write_blocks({block("unit-1", twenty_foot_m), block("unit-2", twenty_foot_m, {0, 2.458, 0}),
                      block("window", {4, 0.02, 1.6}, {1, -0.01, 0.5})},
                     folder_ / "site.step");
    }
    std::string site(const std::string& tables) {
        std::string toml = quick_site_toml();
        const std::string file = "file = \"site.step\"\n";
        toml.insert(toml.find(file) + file.size(), "panes = [\"window\"]\n");
        return folder_.write("site.toml", toml + tables);
    }
    Outcome run(const std::string& tables, const std::vector<std::string>& more = {"--json"}) {
        std::vector<std::string> arguments = {"run", site(tables), "--out",
                                              (folder_ / "out").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_program(arguments);
    }
    Json summary(const std::string& tables) {
        const Outcome outcome = run(tables);
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out);
    }
    const Folder folder_;
};

bool warns(const Json& document, const std::string& code) {
    return std::ranges::any_of(document["warnings"],
                               [&](const Json& warning) { return warning["code"] == code; });
}

TEST_F(WindowFilmRun, PanesTellWhatTheFilmDoes) {
    const Json told = summary(coat_toml + film_toml);
    for (const Json& surface : told["surfaces"]) {
        std::set<std::string> tried;
        for (const Json& effect : surface.value("treatments", Json::array()))
            tried.insert(effect["treatment"].get<std::string>());
        if (surface["kind"] != "pane") {
            EXPECT_FALSE(tried.contains("solar film")) << surface["id"];
            continue;
        }
        EXPECT_EQ(surface["id"], "unit-1/window");
        EXPECT_EQ(tried, std::set<std::string>{"solar film"});
        const Json& effect = surface["treatments"][0];
        EXPECT_NEAR(effect["cost"], 50 * 4 * 1.6, 1e-3);
        EXPECT_GT(effect["saves_cooling_kwh"], 0);
        EXPECT_GT(effect["saves_peak_w"], 0);
        EXPECT_GT(surface["rank"], 0);
    }
    EXPECT_FALSE(warns(told, "treatment-fits-nothing"));
    EXPECT_THAT(told["cautions"].dump(), HasSubstr("Films on insulating"));
    EXPECT_EQ(told["defence"].size(), 3u);  // as it stands, coat, film
    EXPECT_THAT(run(coat_toml + film_toml, {}).out, HasSubstr("Films on insulating"));
    EXPECT_THAT(content_of(folder_ / "out/surfaces.csv"),
                HasSubstr("saves_cooling_kwh[solar film]"));
}

TEST_F(WindowFilmRun, WithoutAFilmNothingIsSaidOfFilms) {
    const Json told = summary(coat_toml);
    EXPECT_EQ(told["cautions"].dump().find("Films"), std::string::npos);
    for (const Json& surface : told["surfaces"]) {
        if (surface["kind"] != "pane") continue;
        EXPECT_TRUE(surface["treatments"].empty());
    }
}

TEST_F(WindowFilmRun, TheShippedExamplesHoldAFilm) {
    const Json told = summary("");
    const auto pane = std::ranges::find_if(
        told["surfaces"], [](const Json& surface) { return surface["id"] == "unit-1/window"; });
    ASSERT_NE(pane, told["surfaces"].end());
    EXPECT_EQ((*pane)["treatments"].size(), 1u);
}

TEST_F(WindowFilmRun, APlanBuysAndPaintsIt) {
    const Outcome outcome =
        run_program({"plan", site(film_toml + "[plan]\nsamples = 16\n"), "--budget", "400", "--out",
                     (folder_ / "out").string(), "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json plan = Json::parse(outcome.out);
    ASSERT_EQ(plan["chosen"].size(), 1u);
    EXPECT_EQ(plan["chosen"][0]["surface"], "unit-1/window");
    EXPECT_EQ(plan["chosen"][0]["treatment"], "solar film");
    EXPECT_GT(plan["chosen"][0]["saves_kwh"], 0);
    EXPECT_THAT(plan["confidence"].dump(), HasSubstr("g-value with film of solar film"));
    EXPECT_EQ(plan["confidence"].dump().find("emittance of"), std::string::npos);
    EXPECT_THAT(plan["cautions"].dump(), HasSubstr("Films on insulating"));
    EXPECT_EQ(plan["candidates"].size(), 1u);
    const Outcome page = run_program(
        {"plan", site(film_toml), "--budget", "400", "--out", (folder_ / "out").string()});
    EXPECT_THAT(page.out, HasSubstr("coloured-plan.step (solar film #"));
    EXPECT_THAT(page.out, HasSubstr("Films on insulating"));
    // The only colour of the file, which had none.
    EXPECT_THAT(content_of(folder_ / "out/coloured-plan.step"), HasSubstr("COLOUR_RGB"));
    EXPECT_EQ(content_of(folder_ / "site.step").find("COLOUR_RGB"), std::string::npos);
}

TEST_F(WindowFilmRun, WhatFitsNoPaneIsAWarning) {
    const Json told = summary(coat_toml + film_toml + "surfaces = [\"*/wall*\"]\n");
    EXPECT_TRUE(warns(told, "treatment-fits-nothing"));
    EXPECT_EQ(told["cautions"].dump().find("Films"), std::string::npos);
}

/// A shipped example that the glass cannot bear is no fault of the site file: it is left out.
TEST_F(WindowFilmRun, ExamplesThatSuitNoGlassAreLeftOut) {
    const Json told = summary(
        "[[construction]]\nname = \"shutter\"\nsurfaces = [\"*/window\"]\n"
        "layers = [{ material = \"plywood\", thickness_mm = 20 }]\n");
    for (const Json& surface : told["surfaces"]) {
        if (surface["id"] != "unit-1/window") continue;
        EXPECT_TRUE(surface["treatments"].empty()) << surface;
    }
}

TEST_F(WindowFilmRun, WhatTheGlassCannotBearIsRefused) {
    std::string dark = film_toml;
    dark.replace(dark.find("0.35"), 4, "0.10");
    const Outcome outcome = run(dark);
    EXPECT_EQ(outcome.status, 3);
    for (const char* part :
         {"site.toml:", ":16: ", "solar film", "unit-1/window", "pane_g_value", "0.1"})
        EXPECT_THAT(outcome.err, HasSubstr(part));
}

}  // namespace
}  // namespace noonshell
