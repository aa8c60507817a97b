// `run --only sun`, its tables, the masks, --accuracy and --fast, by the built program.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "tests/cli/csv_rows.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

const std::vector<std::string> light_parts = {"direct", "sky", "ground", "bounced"};
const std::vector<std::string> parts_and_total = {"direct", "sky", "ground", "bounced", "total"};

/// Two units 20 mm apart, the north one under an overhang of the site file; a year without seasons.
std::string year_site_toml() {
    return place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 1\n" +
           twelve_equal_months_toml + coarse_toml +
           "[[overhang]]\nname = \"brim\"\nwalls = [\"unit-1/wall-s\"]\ndepth_m = 1.5\n";
}

/// Run once for all tests that only look at its files.
class SunRun : public testing::Test {
  protected:
    static void SetUpTestSuite() {
        folder = new Folder;
        const std::string site = write_site(*folder, year_site_toml());
        outcome = run_program({"run", site, "--only", "sun", "--hours", "--mask", "unit-1/wall-s",
                               "--mask", "UNIT-2/roof", "--verbose"});
    }
    static void TearDownTestSuite() { delete folder; }
    static std::filesystem::path file(const std::string& name) {
        return *folder / ("site-results/" + name);
    }
    static Json document() { return Json::parse(content_of(file("summary.json"))); }

    static Folder* folder;
    static Outcome outcome;
};
Folder* SunRun::folder = nullptr;
Outcome SunRun::outcome;

/// Every key of a document, at any depth.
void collect_keys(const Json& value, std::vector<std::string>& keys) {
    if (!value.is_structured()) return;
    for (const auto& [key, inner] : value.items()) {
        if (value.is_object()) keys.push_back(key);
        collect_keys(inner, keys);
    }
}

TEST_F(SunRun, EndsWellAndTellsTheSunAlone) {
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    for (const char* part :
         {"Most sun", "Most shade", "shaded by", "brim", "Months", "Sure to", "surface_months.csv",
          "facets.csv", "surface_hours.csv", "mask-unit-1_wall-s.csv", "mask-unit-2_roof.csv"})
        EXPECT_NE(outcome.out.find(part), std::string::npos) << part << "\n" << outcome.out;
    for (const char* part : {"cooling", "peak C", "room.", "treatment"})
        EXPECT_EQ(outcome.out.find(part), std::string::npos) << part << "\n" << outcome.out;
}

TEST_F(SunRun, TheDocumentHasNoKeyOfHeat) {
    const Json all = document();
    EXPECT_EQ(all["parts"], Json::array({"sun"}));
    EXPECT_EQ(all["preview"], false);
    std::vector<std::string> keys;
    collect_keys(all, keys);
    EXPECT_GT(keys.size(), 100u);
    for (const std::string& key : keys) {
        for (const char* word : {"heat", "cool", "peak", "inward", "rank", "treat", "cost", "_c"})
            EXPECT_TRUE(key.find(word) == std::string::npos || key == "cautions") << key;
    }
    for (const Json& input : all["inputs"]) {
        EXPECT_NE(input["key"].get<std::string>().rfind("room.", 0), 0u) << input;
    }
    for (const char* key :
         {"version", "site", "period", "surfaces", "units", "balance", "warnings"})
        EXPECT_TRUE(all.contains(key)) << key;
}

TEST_F(SunRun, StandardErrorsOfThePartsMakeUpThatOfTheWhole) {
    const Json all = document();
    double largest = 0;
    for (const Json& surface : all["surfaces"]) {
        const Json& sun = surface["sun"];
        double squares = 0;
        for (const std::string& part : light_parts)
            squares += std::pow(sun[part + "_standard_error_kwh_m2"].get<double>(), 2);
        EXPECT_NEAR(sun["standard_error_kwh_m2"].get<double>(), std::sqrt(squares), 1e-9);
        largest = std::max(largest, squares);
    }
    EXPECT_GT(largest, 0);
}

TEST_F(SunRun, MonthsAddUpToTheYear) {
    std::map<std::string, std::map<std::string, double>> sums;
    const std::vector<Row> months = rows_of(file("surface_months.csv"));
    const std::vector<Row> years = rows_of(file("surfaces.csv"));
    ASSERT_EQ(months.size(), 12 * years.size());
    for (const Row& row : months) {
        for (const std::string& part : parts_and_total)
            sums[row.at("surface")][part] += number(row, part + "_kwh_m2");
    }
    for (const Row& row : years) {
        for (const std::string& part : parts_and_total) {
            const double year = number(row, part + "_kwh_m2");
            EXPECT_NEAR(sums[row.at("surface")][part], year, 1e-6 * year + 1e-9)
                << row.at("surface") << " " << part;
        }
    }
}

TEST_F(SunRun, HoursAddUpToMonths) {
    std::map<std::string, std::map<std::string, double>> sums;
    std::size_t lit = 0;
    for (const Row& row : rows_of(file("surface_hours.csv"))) {
        // The label is the end of the hour.
        const std::string time = row.at("hour_end");
        const bool next_month = time.substr(8, 8) == "01T00:00";
        EXPECT_FALSE(next_month) << "dark at this latitude: " << time;
        for (const std::string& part : light_parts)
            sums[row.at("surface") + std::to_string(std::stoi(time.substr(5, 2)))][part] +=
                number(row, part + "_w_m2") / 1000;
        if (row.at("sunlit_share").empty()) {
            EXPECT_EQ(number(row, "direct_w_m2"), 0);
            continue;
        }
        const double share = number(row, "sunlit_share");
        EXPECT_GE(share, 0);
        EXPECT_LE(share, 1);
        EXPECT_EQ(share > 0, number(row, "direct_w_m2") > 0);
        lit += share > 0 ? 1u : 0u;
    }
    EXPECT_GT(lit, 1000u);
    for (const Row& row : rows_of(file("surface_months.csv"))) {
        for (const std::string& part : light_parts) {
            const double month = number(row, part + "_kwh_m2");
            EXPECT_NEAR(sums[row.at("surface") + row.at("month")][part], month, 1e-5 * month + 1e-9)
                << row.at("surface") << " " << row.at("month") << " " << part;
        }
    }
}

TEST_F(SunRun, FacetsAddUpToSurfacesByArea) {
    std::map<std::string, std::map<std::string, double>> sums;
    for (const Row& row : rows_of(file("facets.csv"))) {
        auto& of = sums[row.at("surface")];
        const double area = number(row, "area_m2");
        of["area"] += area;
        for (const std::string& part : light_parts)
            of[part] += area * number(row, part + "_kwh_m2");
        double months = 0;
        for (int m = 1; m <= 12; ++m)
            months += number(row, (m < 10 ? "month_0" : "month_") + std::to_string(m) + "_kwh_m2");
        EXPECT_NEAR(months, number(row, "total_kwh_m2"), 1e-5 * months + 1e-9);
        if (row.at("covered") == "1") {
            EXPECT_EQ(number(row, "total_kwh_m2"), 0);
        }
    }
    for (const Row& row : rows_of(file("surfaces.csv"))) {
        auto& of = sums[row.at("surface")];
        EXPECT_NEAR(of["area"], number(row, "area_m2"), 1e-5 * of["area"]);
        EXPECT_NEAR(of["direct"] / of["area"], number(row, "direct_kwh_m2"),
                    1e-5 * number(row, "direct_kwh_m2") + 1e-6)
            << row.at("surface");
        // The other parts pass through the exchange between parts of surfaces, which reciprocity
        // moves by its noise of a few rays; sky alone is held at 0 in single hours besides.
        EXPECT_NEAR(of["sky"] / of["area"], number(row, "sky_kwh_m2"),
                    0.05 * number(row, "sky_kwh_m2") + 1)
            << row.at("surface");
    }
}

TEST_F(SunRun, ShadeNamesTheOverhangAndAddsUp) {
    // Unshaded less direct is what bodies and contacts keep off; sampled within some percent.
    const Json all = document();
    for (const Json& surface : all["surfaces"]) {
        if (surface.at("id").get<std::string>() != "unit-1/wall-s") continue;
        const Json& sun = surface["sun"];
        ASSERT_GE(sun["shaded_by"].size(), 1u);
        EXPECT_EQ(sun["shaded_by"][0]["body"], "brim");
        EXPECT_EQ(sun["shaded_by"][0]["own"], false);
        double taken = 0;
        for (const Json& shader : sun["shaded_by"]) taken += shader["kwh_m2"].get<double>();
        const double lost =
            sun["unshaded_direct_kwh_m2"].get<double>() - sun["direct_kwh_m2"].get<double>();
        EXPECT_GT(lost, 100);
        EXPECT_NEAR(taken, lost, 0.06 * lost);
        return;
    }
    FAIL() << "no wall under the overhang";
}

TEST_F(SunRun, TimesLieWithinTheDayAndWorstHoursInTheTable) {
    std::map<std::string, double> most;
    for (const Row& row : rows_of(file("surface_hours.csv"))) {
        double sum = 0;
        for (const std::string& part : light_parts) sum += number(row, part + "_w_m2");
        most[row.at("surface")] = std::max(most[row.at("surface")], sum);
    }
    const Json all = document();
    for (const Json& surface : all["surfaces"]) {
        const Json& sun = surface["sun"];
        const std::string id = surface["id"];
        EXPECT_NEAR(sun["worst_hour_w_m2"].get<double>(), most[id], 1e-4 * most[id] + 1e-9) << id;
        if (id == "unit-2/roof") {
            // 27 degrees north: the sun is up from about 5 to 19 in summer.
            EXPECT_LT(sun["earliest_sun"].get<std::string>(), "06:00");
            EXPECT_GT(sun["latest_sun"].get<std::string>(), "18:00");
            EXPECT_EQ(sun["worst_day"].get<std::string>().size(), 10u);
        }
        if (id == "unit-2/floor") {
            EXPECT_TRUE(sun["earliest_sun"].is_null());
        }
    }
}

TEST_F(SunRun, MasksHoldTheHemisphereAndTheOverhang) {
    double all = 0, brim = 0, sky = 0;
    for (const Row& row : rows_of(file("mask-unit-1_wall-s.csv"))) {
        const double share = number(row, "share");
        all += share;
        if (row.at("kind") == "sky") sky += share;
        if (row.at("what").rfind("brim/", 0) == 0) brim += share;
        EXPECT_TRUE(row.at("kind") == "surface" || row.at("what").empty());
        EXPECT_GT(number(row, "azimuth_deg"), 90);  // the wall looks south
        EXPECT_LT(number(row, "azimuth_deg"), 270);
    }
    EXPECT_NEAR(all, 1, 2e-3);
    EXPECT_GT(brim, 0.05);
    EXPECT_NEAR(sky + brim, 0.5, 5e-3);  // what an upright wall has of the upper half
    double roof_sky = 0;
    for (const Row& row : rows_of(file("mask-unit-2_roof.csv")))
        if (row.at("kind") == "sky") roof_sky += number(row, "share");
    EXPECT_NEAR(roof_sky, 1, 1e-3);
}

TEST(SunRunOptions, AFullRunWritesTheSameSun) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    ASSERT_EQ(run_program({"run", site, "--out", (folder / "full").string()}).status, 0);
    ASSERT_EQ(
        run_program({"run", site, "--only", "sun", "--out", (folder / "sun").string()}).status, 0);
    for (const char* name : {"surface_months.csv", "facets.csv"})
        EXPECT_EQ(content_of(folder / "full" / name), content_of(folder / "sun" / name)) << name;
    EXPECT_FALSE(std::filesystem::exists(folder / "full/surface_hours.csv"));
    const Json full = Json::parse(content_of(folder / "full/summary.json"));
    const Json sun = Json::parse(content_of(folder / "sun/summary.json"));
    EXPECT_EQ(full["parts"], Json::array({"sun", "heat", "ranking"}));
    for (std::size_t s = 0; s < full["surfaces"].size(); ++s)
        EXPECT_EQ(full["surfaces"][s]["sun"], sun["surfaces"][s]["sun"]);
}

TEST(SunRunOptions, AccuracyIsReachedAndTold) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    const auto reached = [&](const std::vector<std::string>& more) {
        std::vector<std::string> arguments{"run", site, "--only", "sun", "--json"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out)["accuracy"];
    };
    const Json plain = reached({});
    EXPECT_TRUE(plain["asked_percent"].is_null());
    ASSERT_GT(plain["reached_percent"].get<double>(), 1.2);  // else the test shows nothing
    for (const char* asked : {"0.5%", "0.5"}) {
        const Json told = reached({"--accuracy", asked});
        EXPECT_NEAR(told["asked_percent"].get<double>(), 0.5, 1e-12);
        EXPECT_LE(told["reached_percent"].get<double>(), 0.5);
        EXPECT_GT(told["reached_percent"].get<double>(), 0);
    }
    const Outcome page = run_program({"run", site, "--only", "sun", "--accuracy", "2 %"});
    EXPECT_NE(page.out.find("asked for +-2 %"), std::string::npos) << page.out;
}

TEST(SunRunOptions, APreviewIsFlaggedAndRanksNothing) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    const Outcome page = run_program({"run", site, "--fast"});
    ASSERT_EQ(page.status, 0) << page.err;
    for (const char* part : {"PREVIEW", "a preview tries no treatment", "Sure to", "Units"})
        EXPECT_NE(page.out.find(part), std::string::npos) << part << "\n" << page.out;
    const Json document = Json::parse(content_of(folder / "site-results/summary.json"));
    EXPECT_EQ(document["preview"], true);
    EXPECT_EQ(document["parts"], Json::array({"sun", "heat"}));
    EXPECT_FALSE(document["surfaces"][0].contains("treatments"));
    EXPECT_TRUE(document["surfaces"][0].contains("heat"));
    bool told = false;
    for (const Json& input : document["inputs"]) {
        if (input["key"] != "run.rays_per_facet") continue;
        told = input["from"] == "command line" && input["source"] == "--fast";
    }
    EXPECT_TRUE(told);
    const Outcome plain = run_program({"run", site});
    EXPECT_EQ(plain.out.find("PREVIEW"), std::string::npos);
}

TEST(SunRunOptions, WrongValuesEndWithTwo) {
    for (const std::vector<std::string>& more :
         std::vector<std::vector<std::string>>{{"--accuracy", "0"},
                                               {"--accuracy", "-1%"},
                                               {"--accuracy", "51%"},
                                               {"--accuracy", "half"},
                                               {"--accuracy", "1%%"},
                                               {"--accuracy", "nan"},
                                               {"--accuracy", ""},
                                               {"--accuracy"},
                                               {"--accuracy", "1%", "--fast"},
                                               {"--only", "heat"},
                                               {"--only"},
                                               {"--mask"}}) {
        std::vector<std::string> arguments{"run", "site.toml"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 2) << testing::PrintToString(arguments) << outcome.err;
        expect_one_error_line(outcome, more[0]);
    }
}

TEST(SunRunOptions, AMaskOfNoSurfaceIsRefusedAndNothingIsWritten) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    const auto before = bytes_below(folder.path());
    const Outcome outcome = run_program({"run", site, "--only", "sun", "--mask", "unit-9/*"});
    EXPECT_EQ(outcome.status, 3);
    expect_one_error_line(outcome, "\"unit-9/*\"");
    expect_same_files(before, folder.path());
}

}  // namespace
}  // namespace noonshell
