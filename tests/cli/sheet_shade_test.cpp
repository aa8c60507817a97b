// Whole runs with a shade that is drawn as one face: both its sides have light, and the run is the
// same whichever way the face is drawn.
#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"
#include "tests/support/folded_shades.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

struct SheetRun {
    std::map<std::string, Json> surfaces;
    Json balance;
    std::string coloured;
};

SheetRun run_with_sheet(const Folder& folder, bool facing_up) {
    test_support::write_sheet_shade(folder / "sheet.step", 3.2, facing_up);
    const std::string site = folder.write(
        "site.toml", place_toml +
                         "[model]\nfile = \"sheet.step\"\nshades = [\"sail\"]\nfacet_size_m = 1\n" +
                         design_day_toml + coarse_toml);
    const Outcome outcome =
        run_program({"run", site, "--out", (folder / "out").string(), "--json"});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    SheetRun run;
    if (outcome.status != 0) return run;
    const Json document = Json::parse(outcome.out);
    for (const Json& surface : document["surfaces"]) run.surfaces[surface["id"]] = surface;
    run.balance = document["balance"];
    run.coloured = content_of(folder / "out/coloured.step");
    return run;
}

double sun(const Json& surface, const char* part) {
    return surface["sun"][part].get<double>();
}

TEST(SheetShade, BothSidesOfAFaceAreSurfaces) {
    const Folder folder;
    const SheetRun up = run_with_sheet(folder, true), down = run_with_sheet(folder, false);
    for (const SheetRun& run : {up, down}) {
        ASSERT_TRUE(run.surfaces.contains("sail/top"));
        ASSERT_TRUE(run.surfaces.contains("sail/underside"));
        const Json &top = run.surfaces.at("sail/top"), &below = run.surfaces.at("sail/underside");
        EXPECT_NEAR(top["area_m2"].get<double>(), 30, 1e-6);
        EXPECT_NEAR(below["area_m2"].get<double>(), 30, 1e-6);
        EXPECT_GT(sun(top, "direct_kwh_m2"), 1);
        EXPECT_EQ(sun(below, "direct_kwh_m2"), 0);
        EXPECT_GT(sun(below, "ground_kwh_m2"), 0.1);
        EXPECT_GT(sun(below, "bounced_kwh_m2"), 0.001);
        EXPECT_LT(run.balance["solar_residual"].get<double>(), 1e-3);
        EXPECT_LT(run.balance["heat_residual"].get<double>(), 1e-3);
        EXPECT_FALSE(run.coloured.empty());
    }
    for (const char* id : {"sail/top", "sail/underside", "hut/roof", "hut/wall-s"}) {
        const double a = sun(up.surfaces.at(id), "total_kwh_m2");
        EXPECT_NEAR(sun(down.surfaces.at(id), "total_kwh_m2") / a, 1, 0.02) << id;
    }
    // One temperature for the sheet as a whole.
    const auto peak = [](const SheetRun& run, const char* id) {
        return run.surfaces.at(id)["heat"]["peak_outside_c"].get<double>();
    };
    EXPECT_NEAR(peak(up, "sail/top"), peak(up, "sail/underside"), 1e-6);
    EXPECT_NEAR(peak(up, "sail/top"), peak(down, "sail/top"), 0.5);
}

// The same model against itself: nothing moved, nothing is new.
TEST(SheetShade, FollowsItselfFromVersionToVersion) {
    const Folder folder;
    test_support::write_sheet_shade(folder / "a.step", 3.2, true);
    test_support::write_sheet_shade(folder / "b.step", 3.2, true);
    const Outcome page = run_program(
        {"inspect", (folder / "b.step").string(), "--against", (folder / "a.step").string()});
    ASSERT_EQ(page.status, 0) << page.err;
    EXPECT_NE(page.out.find("surfaces: 8 kept, 0 moved, 0 resized, 0 renamed, 0 new, 0 gone"),
              std::string::npos)
        << page.out;
}

}  // namespace
}  // namespace noonshell
