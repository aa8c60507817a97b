// `run --facets` and masks of single facets, by the built program.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "tests/cli/csv_rows.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;

/// Two units 20 mm apart, the south one under an overhang as wide as itself.
std::string shaded_site_toml() {
    return place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 0.7\n" + design_day_toml +
           coarse_toml +
           "[[overhang]]\nname = \"brim\"\nwalls = [\"unit-1/wall-s\"]\ndepth_m = 2\n";
}

struct Facet {
    double year = 0, hours = 0, months = 0, most = 0;
};

TEST(FacetRun, HoursAndMonthsOfFacetsAddUpToTheirYear) {
    const Folder folder;
    const std::string site = write_site(folder, shaded_site_toml());
    const Outcome outcome = run_program(
        {"run", site, "--only", "sun", "--facets", "UNIT-1/wall-s", "--facets", "unit-2/roof"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    for (const char* name : {"facet_hours.csv", "facet_months.csv", "facet_times.csv"})
        EXPECT_NE(outcome.out.find(name), std::string::npos) << name;
    const auto file = [&](const std::string& name) { return folder / ("site-results/" + name); };
    const auto key = [](const Row& row) { return row.at("surface") + "#" + row.at("facet"); };
    std::map<std::string, Facet> facets;
    for (const Row& row : rows_of(file("facets.csv"))) {
        const std::string& surface = row.at("surface");
        if (surface != "unit-1/wall-s" && surface != "unit-2/roof") continue;
        facets[key(row)].year = number(row, "total_kwh_m2");
    }
    ASSERT_GT(facets.size(), 40u);
    for (const Row& row : rows_of(file("facet_months.csv"))) {
        EXPECT_EQ(row.at("month"), "7");  // the design day's
        facets[key(row)].months += number(row, "total_kwh_m2");
    }
    std::size_t part_lit = 0;
    for (const Row& row : rows_of(file("facet_hours.csv"))) {
        double light = 0;
        for (const char* part : {"direct", "sky", "ground", "bounced"})
            light += number(row, std::string(part) + "_w_m2");
        Facet& facet = facets[key(row)];
        facet.hours += light / 1000;
        facet.most = std::max(facet.most, light);
        if (row.at("sunlit_share").empty()) continue;
        const double share = number(row, "sunlit_share");
        part_lit += share > 0.01 && share < 0.99 ? 1u : 0u;
    }
    EXPECT_GT(part_lit, 5u);
    std::size_t timed = 0;
    for (const Row& row : rows_of(file("facet_times.csv"))) {
        const Facet& facet = facets[key(row)];
        EXPECT_NEAR(number(row, "worst_hour_w_m2"), facet.most, 1e-4 * facet.most);
        EXPECT_NEAR(number(row, "worst_day_kwh_m2"), facet.year, 0.02 * facet.year);
        EXPECT_EQ(row.at("worst_day"), "2023-07-21");
        timed += row.at("earliest_sun").empty() ? 0u : 1u;
    }
    EXPECT_GT(timed, 20u);
    for (const auto& [name, facet] : facets) {
        ASSERT_GT(facet.year, 0.1) << name;
        EXPECT_NEAR(facet.months, facet.year, 1e-5 * facet.year) << name;
        // Hours of sky light may be held at 0, which the year is not.
        EXPECT_NEAR(facet.hours, facet.year, 0.02 * facet.year) << name;
    }
    EXPECT_EQ(run_program({"run", site, "--only", "sun", "--facets", "nothing"}).status, 3);
}

TEST(FacetRun, AMaskIsSeenFromTheFacetThatWasAskedFor) {
    const Folder folder;
    const std::string site = write_site(folder, shaded_site_toml());
    ASSERT_EQ(run_program({"run", site, "--only", "sun"}).status, 0);
    std::map<double, std::string> by_height;
    for (const Row& row : rows_of(folder / "site-results/facets.csv"))
        if (row.at("surface") == "unit-1/wall-s") by_height[number(row, "z_m")] = row.at("facet");
    ASSERT_GT(by_height.size(), 2u);
    const auto brim_before = [&](const std::string& facet) {
        const Outcome outcome =
            run_program({"run", site, "--only", "sun", "--mask", "unit-1/wall-s#" + facet});
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        double brim = 0;
        for (const Row& row :
             rows_of(folder / ("site-results/mask-unit-1_wall-s-facet-" + facet + ".csv")))
            if (row.at("what").rfind("brim/", 0) == 0) brim += number(row, "share");
        return brim;
    };
    // The nearer to the overhang, the more of the sky it hides.
    const double low = brim_before(by_height.begin()->second);
    const double high = brim_before(by_height.rbegin()->second);
    EXPECT_GT(low, 0.02);
    EXPECT_GT(high, 2 * low);
    for (const char* wrong : {"unit-1/wall-s#0", "unit-1/wall-s#9999", "unit-1/wall-s#x", "no#1"}) {
        const Outcome outcome = run_program({"run", site, "--only", "sun", "--mask", wrong});
        EXPECT_EQ(outcome.status, 3) << wrong;
        expect_one_error_line(outcome, wrong);
    }
}

}  // namespace
}  // namespace noonshell
