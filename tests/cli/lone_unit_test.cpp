// The first purchase on a bare unit that stands alone in the sun, with the year of the demo.
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "geometry/block_writer.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

/// The demo's weather table, comments and all.
std::string demo_weather() {
    std::ifstream file(std::string(NOONSHELL_SOURCE_DIR) + "/models/station.toml");
    std::string line, text;
    bool inside = false;
    while (std::getline(file, line)) {
        if (!line.empty() && line[0] == '[') inside = line == "[weather]";
        if (inside) text += line + "\n";
    }
    return text;
}

Json run_lone_unit(double ground_albedo) {
    const Folder folder;
    Block unit;
    unit.name = "hut";
    unit.size_m = {6.058, 2.438, 2.591};
    write_blocks({unit}, folder / "hut.step");
    std::ostringstream site;
    site << "[site]\nlatitude_deg = 27.4\nlongitude_deg = 29.6\ntime_zone = \"Africa/Cairo\"\n"
         << "ground_albedo = " << ground_albedo << "\n[model]\nfile = \"hut.step\"\n"
         << demo_weather();
    const Outcome outcome = run_program(
        {"run", write_site(folder, site.str()), "--json", "--out", (folder / "out").string()});
    if (outcome.status != 0) throw std::runtime_error(outcome.err);
    return Json::parse(outcome.out);
}

const Json& surface_of_rank(const Json& document, int rank) {
    for (const Json& surface : document.at("surfaces")) {
        if (surface.at("rank") == rank) return surface;
    }
    throw std::out_of_range("rank");
}

const Json& surface_named(const Json& document, const std::string& id) {
    for (const Json& surface : document.at("surfaces")) {
        if (surface.at("id") == id) return surface;
    }
    throw std::out_of_range(id);
}

/// Common practice: the white roof comes first. On ordinary ground ([ashrae2021] ch. 14: albedo
/// 0.2) it does.
TEST(LoneUnit, FirstPurchaseIsTheWhiteRoof) {
    const Json document = run_lone_unit(0.2);
    const Json& first = surface_of_rank(document, 1);
    EXPECT_EQ(first.at("id"), "hut/roof");
    const Json& treatments = first.at("treatments");
    const Json* best = nullptr;
    for (const Json& t : treatments) {
        if (best == nullptr || t.at("saves_kwh_per_cost") > best->at("saves_kwh_per_cost"))
            best = &t;
    }
    ASSERT_NE(best, nullptr);
    EXPECT_EQ(best->at("treatment"), "white coating");
}

/// A free wall sees half of the ground: brighter ground adds its share of the global irradiation,
/// which is what the roof gets, and nothing to the roof. That holds at the sunny wall; the others
/// look at ground in the unit's own shadow, the north wall most of all.
TEST(LoneUnit, BrightSandLightsTheWallsByItsAlbedo) {
    const Json dark = run_lone_unit(0.2), bright = run_lone_unit(0.4);
    const auto sun = [](const Json& document, const std::string& id, const char* key) {
        return surface_named(document, id).at("sun").at(key).get<double>();
    };
    const double global = sun(dark, "hut/roof", "total_kwh_m2");
    EXPECT_NEAR(sun(bright, "hut/roof", "total_kwh_m2"), global, 1e-6 * global);
    const auto more = [&](const std::string& wall) {
        return sun(bright, wall, "ground_kwh_m2") - sun(dark, wall, "ground_kwh_m2");
    };
    const double unshaded = 0.5 * (0.4 - 0.2) * global;
    EXPECT_NEAR(more("hut/wall-s"), unshaded, 0.05 * unshaded);
    for (const char* wall : {"hut/wall-n", "hut/wall-e", "hut/wall-w"}) {
        EXPECT_LT(more(wall), 0.95 * unshaded) << wall;
        EXPECT_GT(more(wall), 0.7 * unshaded) << wall;
    }
    EXPECT_LT(more("hut/wall-n"), std::min(more("hut/wall-e"), more("hut/wall-w")));
}

}  // namespace
}  // namespace noonshell
