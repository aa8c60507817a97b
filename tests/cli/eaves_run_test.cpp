// Whole runs of a house of plates whose roof overhangs its walls. Oracle: closed forms of
// rectangles, and the model that was given in.
#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "geometry/step_reader.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"
#include "tests/support/lined_rooms.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

class EavesRun : public testing::Test {
  protected:
    void run(double reach_m) {
        const double r = reach_m;
        test_support::write_eaves_house(folder_ / "house.step", {r, r, r, r}, {});
        const std::string site = folder_.write(
            "site.toml", place_toml + "[model]\nfile = \"house.step\"\nfacet_size_m = 1\n" +
                             design_day_toml + coarse_toml);
        const Outcome outcome =
            run_program({"run", site, "--out", (folder_ / "out").string(), "--json"});
        ASSERT_EQ(outcome.status, 0) << outcome.err;
        const Json document = Json::parse(outcome.out);
        surfaces_.clear();
        for (const Json& surface : document["surfaces"]) surfaces_[surface["id"]] = surface;
        EXPECT_LT(document["balance"]["solar_residual"].get<double>(), 1e-3);
        EXPECT_LT(document["balance"]["heat_residual"].get<double>(), 1e-3);
    }
    double sun(const char* id, const char* part) {
        return surfaces_.at(id)["sun"][part].get<double>();
    }

    Folder folder_;
    std::map<std::string, Json> surfaces_;
};

TEST_F(EavesRun, TheRoofIsThatOfTheRoomAndTheWallsLieInTheShadeOfTheEaves) {
    run(0);
    const double roof = sun("house/roof", "total_kwh_m2");
    const double wall = sun("house/wall-s", "direct_kwh_m2");
    run(0.5);
    EXPECT_NEAR(surfaces_.at("house/roof")["area_m2"].get<double>(), 48, 1e-3);
    EXPECT_NEAR(surfaces_.at("house-eaves/top")["area_m2"].get<double>(), 15, 1e-3);
    EXPECT_EQ(surfaces_.at("house-eaves/top")["kind"], "shade");
    // Nothing stands above either: the same sun on the roof, and on the eaves beside it.
    EXPECT_NEAR(sun("house/roof", "total_kwh_m2"), roof, 1e-3 * roof);
    EXPECT_NEAR(sun("house-eaves/top", "total_kwh_m2"), roof, 1e-3 * roof);
    EXPECT_EQ(sun("house-eaves/underside", "direct_kwh_m2"), 0);
    EXPECT_LT(sun("house/wall-s", "direct_kwh_m2"), 0.9 * wall);
}

TEST_F(EavesRun, TheColouredFileHoldsTheSolidsThatWereDrawn) {
    run(0.5);
    const Model given = read_step(folder_ / "house.step");
    const Model coloured = read_step(folder_ / "out/coloured.step");
    ASSERT_EQ(coloured.bodies.size(), given.bodies.size());
    for (std::size_t b = 0; b < given.bodies.size(); ++b) {
        EXPECT_EQ(coloured.bodies[b].name, given.bodies[b].name);
        EXPECT_EQ(coloured.bodies[b].n_faces, given.bodies[b].n_faces);
        EXPECT_NEAR(coloured.bodies[b].volume_m3, given.bodies[b].volume_m3, 1e-9);
        EXPECT_NEAR(coloured.bodies[b].area_m2, given.bodies[b].area_m2, 1e-9);
    }
}

}  // namespace
}  // namespace noonshell
