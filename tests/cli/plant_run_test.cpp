// `run` with a cooling unit of limited capacity, leaks, night ventilation and people: what the page
// and summary.json tell of them, and of the layers of defence.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

/// `peak_c`: of the design day, whose nights are 12 K cooler.
Json summary_of(const std::string& room_toml, int peak_c = 42) {
    const Folder folder;
    std::string toml = quick_site_toml() + room_toml;
    toml.replace(toml.find("42"), 2, std::to_string(peak_c));
    const std::string site = write_site(folder, toml);
    const Outcome outcome =
        run_program({"run", site, "--out", (folder / "out").string(), "--json"}, {});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    return Json::parse(outcome.out);
}

/// Half the capacity that an ideal plant asks for leaves hours unmet; the full one leaves none.
TEST(PlantRun, ACapacityIsHeldToAndToldInHours) {
    const Json ideal = summary_of("");
    EXPECT_TRUE(ideal["units"][0]["hours_not_met_h"].is_null());
    double needed_w = 0;
    for (const Json& unit : ideal["units"])
        needed_w = std::max(needed_w, unit["needed_capacity_w"].get<double>());
    ASSERT_GT(needed_w, 500);
    const auto with_capacity = [&](double share) {
        return summary_of("[room]\ncooling = \"unit\"\ncooling_capacity_kw = " +
                          std::to_string(share * needed_w / 1000) + "\n");
    };
    const Json full = with_capacity(1.001), half = with_capacity(0.5);
    for (std::size_t u = 0; u < 2; ++u) {
        EXPECT_EQ(full["units"][u]["hours_not_met_h"].get<double>(), 0);
        EXPECT_GT(half["units"][u]["hours_not_met_h"].get<double>(), 1);
        EXPECT_LT(half["units"][u]["cooling_kwh"].get<double>(),
                  full["units"][u]["cooling_kwh"].get<double>());
    }
    // What a room asks for does not depend on what its plant can do, nor under any layer of
    // defence.
    for (std::size_t u = 0; u < 2; ++u) {
        for (const char* key : {"peak_cooling_w", "needed_capacity_w", "peak_latent_w"})
            EXPECT_EQ(half["units"][u][key], ideal["units"][u][key]) << key;
        EXPECT_EQ(half["units"][u]["peak_cooling_time"], ideal["units"][u]["peak_cooling_time"]);
    }
    ASSERT_EQ(half["defence"].size(), ideal["defence"].size());
    // Where a layer brings all loads within the plants it is not run again without limits: but for
    // how a day repeated settles, the run is the same.
    for (std::size_t i = 0; i < half["defence"].size(); ++i) {
        const double ideal_w = ideal["defence"][i]["needed_capacity_w"];
        EXPECT_NEAR(half["defence"][i]["needed_capacity_w"], ideal_w, 1e-5 * ideal_w);
    }
}

/// People bring vapour that the coil takes out; cool night air spares cooling. Signs.
TEST(PlantRun, PeopleAddLatentHeatAndNightAirSparesCooling) {
    const Json plain = summary_of("", 34);
    const Json people = summary_of("[room]\nmoisture_g_hm2 = 20\n", 34);
    const Json aired = summary_of("[room]\nventilation_per_h = 10\n", 34);
    for (std::size_t u = 0; u < 2; ++u) {
        const auto of = [u](const Json& run, const char* key) {
            return run["units"][u][key].get<double>();
        };
        EXPECT_GT(of(people, "latent_kwh"), of(plain, "latent_kwh"));
        EXPECT_GT(of(people, "electricity_kwh"), of(plain, "electricity_kwh"));
        EXPECT_LT(of(aired, "cooling_kwh"), of(plain, "cooling_kwh"));
    }
}

TEST(PlantRun, TellsTheLayersOfDefence) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    const Outcome page = run_program({"run", site, "--out", (folder / "out").string()}, {});
    ASSERT_EQ(page.status, 0) << page.err;
    EXPECT_NE(page.out.find("\nLayers of defence"), std::string::npos);
    const Json stages = summary_of("")["defence"];
    ASSERT_EQ(stages.size(), 4u);
    EXPECT_TRUE(stages[0]["added"].is_null());
    EXPECT_EQ(stages[0]["cost"], 0);
    for (std::size_t i = 1; i < stages.size(); ++i) {
        EXPECT_NE(page.out.find("+ " + stages[i]["added"].get<std::string>()), std::string::npos);
        EXPECT_LT(stages[i]["cooling_kwh"].get<double>(),
                  stages[i - 1]["cooling_kwh"].get<double>());
        EXPECT_GT(stages[i]["cost"].get<double>(), stages[i - 1]["cost"].get<double>());
        ASSERT_EQ(stages[i]["units"].size(), 2u);
    }
    // Not in a preview, which tries no treatment.
    const Outcome fast =
        run_program({"run", site, "--out", (folder / "fast").string(), "--fast"}, {});
    ASSERT_EQ(fast.status, 0) << fast.err;
    EXPECT_EQ(fast.out.find("Layers of defence"), std::string::npos);
}

}  // namespace
}  // namespace noonshell
