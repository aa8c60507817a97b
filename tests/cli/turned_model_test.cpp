// The same site drawn twice, the second time with its axes turned by 90 degrees: north_deg brings
// it back, so every surface gets the same figures.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

// Sunlit shares and exchange are sampled along the axes of the model: enough points and rays that
// two drawings agree.
const std::string fine_toml =
    "[run]\nsun_step_min = 30\npoints_per_facet = 16\nrays_per_facet = 1024\n";

Json run_blocks(const std::vector<Block>& blocks, double north_deg) {
    const Folder folder;
    write_blocks(blocks, folder / "site.step");
    const std::string site =
        folder.write("site.toml", place_toml + "north_deg = " + std::to_string(north_deg) +
                                      "\n[model]\nfile = \"site.step\"\nfacet_size_m = 1\n" +
                                      design_day_toml + fine_toml);
    const Outcome outcome =
        run_program({"run", site, "--json", "--out", (folder / "out").string()});
    if (outcome.status != 0) throw std::runtime_error(outcome.err);
    return Json::parse(outcome.out);
}

/// A quarter turn to the left about the origin, seen from above.
Block turned(Block block) {
    block.corner_m = {-block.corner_m.y(), block.corner_m.x(), block.corner_m.z()};
    block.turn_deg = 90;
    return block;
}

std::map<std::string, Json> by_id(const Json& document) {
    std::map<std::string, Json> surfaces;
    for (const Json& surface : document["surfaces"]) surfaces[surface["id"]] = surface;
    return surfaces;
}

TEST(TurnedModel, QuarterTurnWithNorthTurnedBackChangesNoFigure) {
    // Two units at unequal heights, a third on top of the first: shade, contact and an odd corner.
    const std::vector<Block> blocks{block("unit-1", twenty_foot_m),
                                    block("unit-2", twenty_foot_m, {1.5, 4, 0.3}),
                                    block("unit-3", twenty_foot_m, {2, 0, 2.601})};
    std::vector<Block> left;
    for (const Block& b : blocks) left.push_back(turned(b));
    const auto straight = by_id(run_blocks(blocks, 0)), turned_left = by_id(run_blocks(left, 90));
    ASSERT_EQ(straight.size(), 18u);
    ASSERT_EQ(turned_left.size(), straight.size());
    double largest_kwh_m2 = 0;
    for (const auto& [id, a] : straight) {
        SCOPED_TRACE(id);
        ASSERT_EQ(turned_left.count(id), 1u);
        const Json& b = turned_left.at(id);
        if (a["kind"] == "wall") {
            const double turn_deg = std::remainder(
                a["azimuth_deg"].get<double>() - b["azimuth_deg"].get<double>(), 360);
            EXPECT_NEAR(turn_deg, 0, 1e-6);
        }
        for (const char* key : {"area_m2", "exposed_area_m2"})
            EXPECT_NEAR(a[key].get<double>(), b[key].get<double>(), 1e-6) << key;
        const auto sun = [](const Json& surface, const char* key) {
            return surface["sun"][key].get<double>();
        };
        EXPECT_NEAR(sun(a, "unshaded_direct_kwh_m2"), sun(b, "unshaded_direct_kwh_m2"), 1e-6);
        EXPECT_NEAR(sun(a, "direct_kwh_m2"), sun(b, "direct_kwh_m2"), 0.02);
        EXPECT_NEAR(sun(a, "total_kwh_m2"), sun(b, "total_kwh_m2"), 0.03);
        EXPECT_NEAR(sun(a, "sun_hours_h"), sun(b, "sun_hours_h"), 0.05);
        largest_kwh_m2 = std::max(largest_kwh_m2, sun(a, "total_kwh_m2"));
        if (a["heat"]["peak_outside_c"].is_null()) continue;
        EXPECT_NEAR(a["heat"]["peak_outside_c"].get<double>(),
                    b["heat"]["peak_outside_c"].get<double>(), 0.3);
    }
    EXPECT_GT(largest_kwh_m2, 5) << "a day of desert sun";
}

}  // namespace
}  // namespace noonshell
