// `run --every-sun` against the grid of suns, by the built program.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

// The oracle of the fast scheme, at the same points, their number chosen surface by surface as in a
// plain run: every surface's yearly direct sun within 0.1 % of itself (of 2 % of its sun in the
// open where it has less), but not to the last digit, or the option does nothing.
TEST(EverySun, IsTheSameToATenthOfAPercent) {
    const Folder folder;
    const std::string site = write_site(
        folder, place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" +
                    twelve_equal_months_toml +
                    "[run]\npoints_per_facet = 2\nrays_per_facet = 64\n" +
                    "[[overhang]]\nname = \"brim\"\nwalls = [\"unit-1/wall-s\"]\ndepth_m = 1.5\n");
    const auto run_with = [&](const std::vector<std::string>& more) {
        std::vector<std::string> arguments{"run", site, "--only", "sun", "--json"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out);
    };
    const Json grid = run_with({}), every = run_with({"--every-sun"});
    std::size_t differ = 0;
    for (std::size_t s = 0; s < grid["surfaces"].size(); ++s) {
        const Json &a = grid["surfaces"][s]["sun"], &b = every["surfaces"][s]["sun"];
        const double open = b["unshaded_direct_kwh_m2"];
        const double fast = a["direct_kwh_m2"], brute = b["direct_kwh_m2"];
        EXPECT_NEAR(fast, brute, 0.001 * std::max(brute, 0.02 * open)) << grid["surfaces"][s]["id"];
        differ += std::abs(fast - brute) > 1e-9 * brute ? 1u : 0u;
    }
    EXPECT_GT(differ, 0u);
    bool told = false;
    for (const Json& input : every["inputs"])
        told = told || (input["key"] == "run.suns" && input["source"] == "--every-sun");
    EXPECT_TRUE(told);
}

// Another seed draws others of the same kind: each surface's sun moves, by no more than both error
// bars allow (3.3 standard errors of the difference, one in a thousand).
TEST(Seed, DrawsOtherPointsAndRaysWithinTheErrorBars) {
    const Folder folder;
    const auto run_with = [&](const std::string& seed) {
        const std::string site = write_site(
            folder, place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 1\n" +
                        design_day_toml + "[run]\nsun_step_min = 30\nrays_per_facet = 256\n" +
                        seed +
                        "[[overhang]]\nname = \"brim\"\nwalls = [\"unit-1/wall-s\"]\ndepth_m = "
                        "1.5\n");
        const Outcome outcome = run_program({"run", site, "--only", "sun", "--json"});
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out);
    };
    const Json none = run_with(""), zero = run_with("seed = 0\n"), other = run_with("seed = 7\n");
    EXPECT_EQ(none["surfaces"], zero["surfaces"]);
    std::size_t moved = 0;
    for (std::size_t s = 0; s < none["surfaces"].size(); ++s) {
        const Json &a = none["surfaces"][s]["sun"], &b = other["surfaces"][s]["sun"];
        const auto bar = [](const Json& sun) { return sun["standard_error_kwh_m2"].get<double>(); };
        const double gap = b["total_kwh_m2"].get<double>() - a["total_kwh_m2"].get<double>();
        EXPECT_LE(std::abs(gap), 3.3 * std::hypot(bar(a), bar(b)) + 1e-3)
            << none["surfaces"][s]["id"];
        moved += std::abs(gap) > 1e-9 ? 1 : 0;
    }
    EXPECT_GT(moved, 3u);
}

}  // namespace
}  // namespace noonshell
