// The sun per side of a container in all its detail against that of the plain box of the same outer
// size, each under the same shades. Relief (folds, posts, castings, gear within 0.15 m of a side's
// plane) shades nothing in either; what is left is where the side stands and how it is cut up.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"
#include "tests/support/detailed_container.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

/// Surfaces of a clear year by id.
std::map<std::string, Json> clear_year(const Folder& folder, const std::string& file) {
    const std::string site = folder.write(
        "site.toml",
        place_toml + "north_deg = 14\n[model]\nfile = \"" + file + "\"\n" +
            twelve_equal_months_toml +
            "[[shade_roof]]\nname = \"sail\"\nover = [\"container\"]\n"
            "overhang_m = [0.3, 0, 0.6, 1]\n"
            "[[overhang]]\nname = \"hood\"\nwalls = [\"container/wall-n\"]\ndepth_m = 0.8\n"
            "[run]\nsun_step_min = 20\n");
    const Outcome outcome =
        run_program({"run", site, "--out", (folder / "out").string(), "--json"});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    std::map<std::string, Json> surfaces;
    if (outcome.status != 0) return surfaces;
    const Json document = Json::parse(outcome.out);
    for (const Json& surface : document["surfaces"]) {
        if (surface["id"].get<std::string>().starts_with("container/"))
            surfaces[surface["id"]] = surface;
    }
    return surfaces;
}

TEST(DetailedSun, EqualsThatOfThePlainBoxOnEverySide) {
    const Folder folder;
    const auto facts = test_support::write_detailed_container(folder / "detailed.step");
    ASSERT_GE(facts.n_faces, 2000u);
    write_blocks({block("container", facts.outer_m)}, folder / "plain.step");
    const auto detailed = clear_year(folder, "detailed.step");
    const auto plain = clear_year(folder, "plain.step");
    ASSERT_EQ(plain.size(), 6u);
    ASSERT_EQ(detailed.size(), 6u);
    for (const char* side : {"roof", "wall-n", "wall-e", "wall-s", "wall-w"}) {
        SCOPED_TRACE(side);
        const Json &a = detailed.at(std::string("container/") + side),
                   &b = plain.at(std::string("container/") + side);
        const auto whole = [](const Json& surface, const char* key) {
            return surface["sun"][key].get<double>() * surface["area_m2"].get<double>();
        };
        // kWh of the whole side over the year.
        ASSERT_GT(whole(b, "total_kwh_m2"), 1000);
        EXPECT_NEAR(whole(a, "total_kwh_m2"), whole(b, "total_kwh_m2"),
                    0.02 * whole(b, "total_kwh_m2"));
        // Each kind of light by itself, as a share of all.
        for (const char* key : {"direct_kwh_m2", "sky_kwh_m2", "ground_kwh_m2", "bounced_kwh_m2"})
            EXPECT_NEAR(whole(a, key), whole(b, key), 0.02 * whole(b, "total_kwh_m2")) << key;
        EXPECT_NEAR(whole(a, "unshaded_direct_kwh_m2"), whole(b, "unshaded_direct_kwh_m2"),
                    0.02 * whole(b, "unshaded_direct_kwh_m2"));
        EXPECT_NEAR(a["azimuth_deg"].get<double>(), b["azimuth_deg"].get<double>(), 1e-6);
    }
    EXPECT_EQ(detailed.at("container/floor")["sun"]["total_kwh_m2"], 0);
}

}  // namespace
}  // namespace noonshell
